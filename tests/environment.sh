# Sourced by demo/run and tests/run: a virtual environment that holds what was asked for, made once.

# environment_ready DIR REQUIREMENT: makes DIR, installs this checkout with that requirement; quick the second time.
environment_ready() {
  local venv=$1 what=$2 stamp
  local python=${PYTHON:-python3}
  "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || {
    echo "Python 3.11 or newer is needed. Set PYTHON to one, for example: PYTHON=python3.12 $0" >&2
    exit 1
  }
  stamp="$what $("$python" -V) $(cksum < pyproject.toml)"
  [ -f "$venv/stamp" ] && [ "$(cat "$venv/stamp")" = "$stamp" ] && return
  echo "Setting up $venv (once) …" >&2
  "$python" -m venv "$venv" || { echo "No virtual environment could be made. On Debian: apt install python3-venv" >&2; exit 1; }
  "$venv/bin/pip" install --quiet --disable-pip-version-check -e "$what" 2> "$venv/pip.log" \
    || { cat "$venv/pip.log" >&2; echo "The packages could not be installed: see above." >&2; exit 1; }
  echo "$stamp" > "$venv/stamp"
}
