#!/usr/bin/env bash
# The programs that some tests look with: Chromium for pages, poppler for printed documents.
# Where they are missing, Debian's are installed if the user may; else the tests that need them are skipped, loudly.
set -u

missing=()
command -v chromium >/dev/null || missing+=(chromium)
command -v pdftotext >/dev/null || missing+=(poppler-utils)
[ ${#missing[@]} -eq 0 ] && exit 0

if [ "$(id -u)" -eq 0 ] && command -v apt-get >/dev/null; then
  echo "Installing ${missing[*]} ..."
  export DEBIAN_FRONTEND=noninteractive
  if apt-get update -qq >/dev/null && apt-get install -y -qq "${missing[@]}" >/dev/null; then
    exit 0
  fi
fi

cat >&2 <<END
**********************************************************************
  Missing here, and not to be installed by this user: ${missing[*]}
  The tests that look at pages and printed documents are SKIPPED.
  On Debian: apt-get install ${missing[*]}
**********************************************************************
END
