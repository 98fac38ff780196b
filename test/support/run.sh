#!/usr/bin/env bash
# npm test: starts what the tests need, builds, runs Jest with the arguments given, stops everything, returns Jest's code.
#
#   npm test                           everything
#   npm test -- test/core              one folder
#   STAINWRIGHT_SKIP_BUILD=1 npm test  with dist/ as it stands
set -euo pipefail
cd "$(dirname "$0")/../.."
. test/support/services.sh
trap stop_services EXIT
trap 'exit 130' INT
trap 'exit 143' TERM

if [ -z "${STAINWRIGHT_SKIP_BUILD:-}" ]; then npm run -s build; fi
start_redis
start_postgres
find_chromium
find_xmllint
find_pdftotext

export NODE_OPTIONS="${NODE_OPTIONS:-} --experimental-vm-modules --disable-warning=ExperimentalWarning"
node_modules/.bin/jest "$@" </dev/null
