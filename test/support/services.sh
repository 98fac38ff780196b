# Sourced by run.sh: gives the tests a Redis, a PostgreSQL, a Chromium, an xmllint and a pdftotext.
#
# Each is taken by address when TEST_REDIS_URL, TEST_POSTGRES_URL, CHROMIUM_PATH, XMLLINT_PATH or PDFTOTEXT_PATH is set; otherwise from the
# installed program; otherwise, as root on Debian, from the distribution's package. What cannot be had stays unset, with the
# reason in a variable of the same name that ends in MISSING, which the skipped tests then carry in their names.

services_dir=$(mktemp -d "${TMPDIR:-/tmp}/stainwright-test.XXXXXX")
chmod 755 "$services_dir"
redis_pid=''
postgres_bin=''
package_lists_fresh=''

free_port() {
  node -e 'const s = require("node:net").createServer().listen(0, "127.0.0.1", () => { console.log(s.address().port); s.close(); })'
}

# install_package WHAT PACKAGE...: leaves a sentence in $why when it cannot.
install_package() {
  local what=$1
  why=''
  shift
  if [ "$(id -u)" != 0 ] || [ ! -e /etc/debian_version ]; then
    why="$what is not installed, and only root on Debian may install it here (apt-get install $*)"
    return 1
  fi
  echo "Installing $* ..."
  if [ -z "$package_lists_fresh" ]; then
    apt-get update -qq >>"$services_dir/apt.log" 2>&1 </dev/null || true
    package_lists_fresh=yes
  fi
  if ! DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >>"$services_dir/apt.log" 2>&1 </dev/null; then
    tail -n 5 "$services_dir/apt.log" >&2
    why="$what is not installed, and apt-get install $* failed"
    return 1
  fi
}

start_redis() {
  [ -z "${TEST_REDIS_URL:-}" ] || return 0
  if ! command -v redis-server >/dev/null && ! install_package Redis redis-server; then
    export TEST_REDIS_MISSING=$why
    return 0
  fi
  local port
  port=$(free_port)
  redis-server --bind 127.0.0.1 --port "$port" --dir "$services_dir" --save '' --appendonly no \
    >"$services_dir/redis.log" 2>&1 </dev/null &
  redis_pid=$!
  for _ in $(seq 100); do
    if redis-cli -h 127.0.0.1 -p "$port" ping >/dev/null 2>&1; then
      export TEST_REDIS_URL="redis://127.0.0.1:$port"
      return 0
    fi
    sleep 0.1
  done
  cat "$services_dir/redis.log" >&2
  export TEST_REDIS_MISSING='redis-server did not answer within 10 seconds of its start'
}

# PostgreSQL refuses to run as root.
as_postgres() {
  if [ "$(id -u)" = 0 ]; then (cd / && runuser -u postgres -- "$@"); else "$@"; fi
}

find_postgres() {
  postgres_bin=$(ls -d /usr/lib/postgresql/*/bin 2>/dev/null | sort -V | tail -n 1)
  if [ -z "$postgres_bin" ] && command -v initdb >/dev/null; then postgres_bin=$(dirname "$(command -v initdb)"); fi
  [ -n "$postgres_bin" ] && [ -x "$postgres_bin/initdb" ]
}

start_postgres() {
  [ -z "${TEST_POSTGRES_URL:-}" ] || return 0
  if ! find_postgres && { ! install_package PostgreSQL postgresql || ! find_postgres; }; then
    export TEST_POSTGRES_MISSING=${why:-PostgreSQL is installed but its initdb was not found}
    return 0
  fi
  local data=$services_dir/postgres/data log=$services_dir/postgres/log port
  mkdir "$services_dir/postgres"
  if [ "$(id -u)" = 0 ]; then chown postgres: "$services_dir/postgres"; fi
  port=$(free_port)
  # fsync stays on: the tests that kill the program rely on what was acknowledged being on the disk.
  if as_postgres "$postgres_bin/initdb" -D "$data" -U stainwright --auth=trust -E UTF8 --locale=C >"$services_dir/initdb.log" 2>&1 </dev/null &&
    as_postgres "$postgres_bin/pg_ctl" -D "$data" -l "$log" -w -t 60 \
      -o "-c listen_addresses=127.0.0.1 -c port=$port -c unix_socket_directories='' -c max_connections=200" \
      start >>"$services_dir/initdb.log" 2>&1 </dev/null &&
    "$postgres_bin/createdb" -h 127.0.0.1 -p "$port" -U stainwright stainwright_test >>"$services_dir/initdb.log" 2>&1 </dev/null; then
    export TEST_POSTGRES_URL="postgres://stainwright@127.0.0.1:$port/stainwright_test"
  else
    cat "$services_dir/initdb.log" "$log" >&2 2>/dev/null || true
    export TEST_POSTGRES_MISSING='PostgreSQL is installed but did not start; its log is above'
  fi
}

find_chromium() {
  [ -z "${CHROMIUM_PATH:-}" ] || return 0
  if ! command -v chromium >/dev/null && ! install_package Chromium chromium fonts-dejavu-core; then
    export CHROMIUM_MISSING=$why
    return 0
  fi
  CHROMIUM_PATH=$(command -v chromium)
  export CHROMIUM_PATH
}

find_xmllint() {
  [ -z "${XMLLINT_PATH:-}" ] || return 0
  if ! command -v xmllint >/dev/null && ! install_package xmllint libxml2-utils; then
    export XMLLINT_MISSING=$why
    return 0
  fi
  XMLLINT_PATH=$(command -v xmllint)
  export XMLLINT_PATH
}

find_pdftotext() {
  [ -z "${PDFTOTEXT_PATH:-}" ] || return 0
  if ! command -v pdftotext >/dev/null && ! install_package pdftotext poppler-utils; then
    export PDFTOTEXT_MISSING=$why
    return 0
  fi
  PDFTOTEXT_PATH=$(command -v pdftotext)
  export PDFTOTEXT_PATH
}

stop_services() {
  if [ -n "$redis_pid" ]; then
    kill "$redis_pid" 2>/dev/null || true
    wait "$redis_pid" 2>/dev/null || true
  fi
  if [ -e "$services_dir/postgres/data/postmaster.pid" ]; then
    as_postgres "$postgres_bin/pg_ctl" -D "$services_dir/postgres/data" -m immediate -w stop >/dev/null 2>&1 </dev/null || true
  fi
  rm -rf "$services_dir"
}
