#!/usr/bin/env bash
# npm run bench:NAME: compiles, starts Redis and PostgreSQL as the tests do, and measures test/bench/NAME.ts beside its bare baseline.
set -euo pipefail
cd "$(dirname "$0")/../.."
. test/support/services.sh
trap stop_services EXIT
trap 'exit 130' INT
trap 'exit 143' TERM

built=node_modules/.cache/stainwright-bench
node_modules/.bin/tsc -p tsconfig.bench.json
cp -r protocols package.json "$built/"
start_redis
start_postgres
node "$built/test/bench/$1.js"
