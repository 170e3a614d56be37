#!/usr/bin/env bash
# SPDX-License-Identifier: Apache-2.0
# Fetches the packages of the report page, as package-lock.json pins them, into node_modules beside
# this file; nothing of them is committed, and none of their install scripts is run.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"
if [ -e node_modules/.package-lock.json ] && [ node_modules/.package-lock.json -nt package-lock.json ]; then
    exit 0
fi
if ! command -v npm >/dev/null 2>&1; then
    echo "error: npm is missing; install the Debian packages nodejs and npm" >&2
    exit 2
fi
echo "== fetching the packages of the report page"
npm ci --ignore-scripts --no-audit --no-fund --loglevel=error >/dev/null
touch node_modules/.package-lock.json
