#!/bin/sh
# Makes the virtual environment .venv in this folder and installs fabricsim into it.
# "./setup.sh test" adds what the tests need. Set PYTHON to use another Python than python3 (3.11 or newer).
set -eu
cd "$(dirname "$0")"
python=${PYTHON:-python3}

"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || {
    echo "setup.sh: needs Python 3.11 or newer; found $("$python" --version 2>&1)" >&2
    exit 2
}

if [ ! -x .venv/bin/pip ] && ! "$python" -m venv .venv >/dev/null 2>&1; then
    # Debian and its kin keep venv in a package of its own.
    echo "setup.sh: installing python3-venv" >&2
    if [ "$(id -u)" = 0 ]; then as_root=; else as_root=sudo; fi
    $as_root apt-get update -q >/dev/null && $as_root apt-get install -y -q python3-venv >/dev/null
    rm -rf .venv
    "$python" -m venv .venv
fi

case "${1:-}" in
    test) what='.[test]' ;;
    *) what=. ;;
esac
.venv/bin/python -m pip install --quiet --disable-pip-version-check --editable "$what"
# Compiled once and for all, also where Python is told to write no bytecode: else every command compiles what it loads.
.venv/bin/python -m compileall -q fabricsim
