#!/usr/bin/env bash
# Programs the tests look through, from the machine's own packages; where one cannot be had, its tests fail and say so.
set -euo pipefail
missing=()
command -v chromium >/dev/null || missing+=(chromium)
command -v pdftoppm >/dev/null || missing+=(poppler-utils)
command -v npm >/dev/null || missing+=(nodejs npm)
compgen -G "/usr/lib/postgresql/*/bin/initdb" >/dev/null || missing+=(postgresql)
[ ${#missing[@]} -eq 0 ] && exit 0
if [ "$(id -u)" -eq 0 ] && command -v apt-get >/dev/null; then
  echo "installing ${missing[*]}"
  export DEBIAN_FRONTEND=noninteractive
  { apt-get update && apt-get install -y --no-install-recommends "${missing[@]}"; } >/dev/null 2>&1 || true
else
  echo "not on this machine, and their tests will fail: apt-get install ${missing[*]}"
fi
