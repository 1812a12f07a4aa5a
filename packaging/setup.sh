# Shared by run and test: the private environment, and the system packages that it and the drawing need.
# Sourced, not run. `prepare` sets $python; everything here is safe to repeat, and to kill.

project=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)

say() { printf 'gearplan: %s\n' "$*" >&2; }

# Debian packages by the library each brings; Qt loads these at run time. The second list only for X displays,
# the third only for Wayland.
always='libEGL.so.1:libegl1 libGL.so.1:libgl1 libxkbcommon.so.0:libxkbcommon0 libfontconfig.so.1:libfontconfig1
libfreetype.so.6:libfreetype6 libglib-2.0.so.0:libglib2.0-0 libdbus-1.so.3:libdbus-1-3'
for_x='libxcb-cursor.so.0:libxcb-cursor0 libxkbcommon-x11.so.0:libxkbcommon-x11-0 libxcb-icccm.so.4:libxcb-icccm4
libxcb-image.so.0:libxcb-image0 libxcb-keysyms.so.1:libxcb-keysyms1 libxcb-randr.so.0:libxcb-randr0
libxcb-render-util.so.0:libxcb-render-util0 libxcb-shape.so.0:libxcb-shape0 libxcb-sync.so.1:libxcb-sync1
libxcb-xfixes.so.0:libxcb-xfixes0 libxcb-xkb.so.1:libxcb-xkb1 libxcb-shm.so.0:libxcb-shm0
libxcb-render.so.0:libxcb-render0 libX11-xcb.so.1:libx11-xcb1'
# What the packages carry of the machine that builds them.
for_carried='libxkbcommon.so.0:libxkbcommon0 libxkbcommon-x11.so.0:libxkbcommon-x11-0 libxcb-cursor.so.0:libxcb-cursor0
libxcb-icccm.so.4:libxcb-icccm4 libxcb-image.so.0:libxcb-image0 libxcb-keysyms.so.1:libxcb-keysyms1
libxcb-render-util.so.0:libxcb-render-util0 libxcb-util.so.1:libxcb-util1'
for_wayland='libwayland-client.so.0:libwayland-client0 libwayland-cursor.so.0:libwayland-cursor0
libwayland-egl.so.1:libwayland-egl1'

# prepare EXTRA DRAWS: the environment with the dependencies, and those of the extra unless it is ''; with
# DRAWS = yes the libraries that Qt loads as well.
prepare() {
  local extra=$1 draws=$2 ready=no packages=''
  if [ -w "$project" ]; then
    home=$project/.venv
  else
    home=${XDG_CACHE_HOME:-$HOME/.cache}/gearplan/venv
  fi
  python=$home/bin/python
  if whole "$extra"; then
    ready=yes
    base_python=$python
  else
    find_python
    packages=$(missing_venv)
  fi
  [ "$draws" = no ] || packages="$packages $(missing_libraries)"
  # shellcheck disable=SC2086
  set -- $packages
  [ $# -eq 0 ] || install_packages "$@"
  [ "$ready" = yes ] || make_environment "$extra"
}

# The first Python of the search path that is new enough, other than the environment's own (it may be activated),
# which is about to be made anew.
find_python() {
  local name found
  for name in python3 python3.14 python3.13 python3.12 python3.11; do
    while IFS= read -r found; do
      [ "${found%/*}" != "$home/bin" ] || continue
      if "$found" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
        base_python=$found
        return
      fi
    done < <(type -aP "$name")
  done
  say "Python 3.11 or later is needed and was not found (on Debian 12 and Ubuntu 24.04: apt-get install python3)."
  exit 1
}

# Prints the package without which this Python makes no environment, if it is missing.
missing_venv() {
  "$base_python" -P -c '
import importlib.util, sys
if not all(map(importlib.util.find_spec, ("ensurepip", "venv"))):
    print(f"python{sys.version_info[0]}.{sys.version_info[1]}-venv")
'
}

# Prints the packages whose library cannot be loaded.
missing_libraries() {
  local pairs=$always
  if [ -n "${DISPLAY:-}" ]; then
    pairs="$pairs $for_x"
  elif [ -n "${WAYLAND_DISPLAY:-}" ]; then
    pairs="$pairs $for_wayland"
  fi
  # shellcheck disable=SC2086
  "$base_python" -I -S -c '
import ctypes, sys
for pair in sys.argv[1:]:
    library, package = pair.split(":")
    try:
        ctypes.CDLL(library)
    except OSError:
        print(package)
' $pairs
}

# install_packages PACKAGE...: with a question first, unless root asks; where nobody can answer, the line is said
# and nothing is done, whether or not rights could be had without a password.
install_packages() {
  local line="apt-get install -y --no-install-recommends $*" as_root=() answer
  if ! command -v apt-get >/dev/null; then
    say "these system packages are missing (Debian names): $*. Install them and start again."
    exit 1
  fi
  if [ "$(id -u)" -eq 0 ]; then
    say "installing what is missing: $line"
  elif command -v sudo >/dev/null && [ -t 0 ] && [ -t 2 ]; then
    say "system packages are missing. This installs them:"
    say "  sudo $line"
    printf 'gearplan: run it now, and "sudo apt-get update" if it fails at first? [y/N] ' >&2
    read -r answer || answer=
    case $answer in
      [yY] | [yY][eE][sS]) as_root=(sudo) ;;
      *)
        say "nothing was installed; start again when they are there"
        exit 1
        ;;
    esac
  else
    say "system packages are missing and need rights to install. Let an administrator run:"
    say "  $line"
    exit 1
  fi
  export DEBIAN_FRONTEND=noninteractive
  # shellcheck disable=SC2086
  "${as_root[@]}" $line >&2 || { "${as_root[@]}" apt-get update >&2 && "${as_root[@]}" $line >&2; } || {
    say "could not install; by hand: $line"
    exit 1
  }
}

# wanted PYTHON EXTRA: what pip is to install. The comments hold what else an environment depends on: the kind of
# Python, the pinned versions, and with an extra the folder, which its scripts name. Renamed to .whole or
# .whole-EXTRA when all of it is there, so an environment is whole if the same is wanted of it today.
wanted() {
  "$1" -I - "$project" "$2" "$home" <<'PY'
import sys, tomllib
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path

folder, extra, home = sys.argv[1:]
project = tomllib.loads(Path(folder, "pyproject.toml").read_text(encoding="utf-8"))["project"]
pinned = Path(folder, "packaging", "pins", f"{extra or 'run'}.txt").read_text(encoding="utf-8")
for line in (EXTENSION_SUFFIXES[0], *pinned.splitlines(), *([home] if extra else [])):
    print("#", line)
print(*project["dependencies"], *(project["optional-dependencies"][extra] if extra else []), sep="\n")
PY
}

# whole EXTRA: whether the environment is there and finished. Running its Python shows that it still runs.
whole() {
  local stamp=$home/.whole${1:+-$1} now
  [ -f "$stamp" ] && [ -f "$home/pyvenv.cfg" ] || return 1
  now=$(wanted "$python" "$1" 2>/dev/null) && [ "$now" = "$(<"$stamp")" ] || return 1
  # Packages were being added to a whole environment: it is one as long as none has arrived.
  [ ! -e "$home/.adding" ] || [ "$(files)" = "$(<"$home/.adding")" ]
}

# Prints one line that changes with the packages in the environment.
files() { find "$home/lib" -name __pycache__ -prune -o -type f -printf '%P %s\n' | LC_ALL=C sort | cksum; }

make_environment() {
  # The list was all that earlier versions left inside.
  if [ -e "$home/pyvenv.cfg" ] && [ ! -e "$home/.lock" ] && [ ! -e "$home/requirements.txt" ]; then
    say "$home was not made by this command and is left alone; move it away and start again"
    exit 1
  fi
  mkdir -p "$home" && : >>"$home/.lock" || { say "no folder for the private environment: $home"; exit 1; }
  # Two starts at once: the second waits and finds the work done. Children hold the lock too, so that nothing a
  # killed start has left running gets in the way of the next.
  exec 9>>"$home/.lock"
  if ! flock -n 9; then
    say "the private environment is being set up by another start; waiting for it"
    flock 9 || say "no lock can be had in $home: let this start finish before the next"
  fi
  if ! whole "$1"; then
    say "setting up the private environment in $home (once; needs the network)"
    fill "$1" || { say "the private environment could not be set up; start again when the cause is mended"; exit 1; }
  fi
  exec 9>&-
}

# fill EXTRA: each step returns by itself if it fails, because a caller that asks about the result switches set -e
# off. The stamps go first and come last.
fill() {
  local extra=$1
  if [ -n "$extra" ] && [ ! -e "$home/.whole-$extra" ] && whole ''; then
    files >"$home/.adding.new" || return 1
    mv "$home/.adding.new" "$home/.adding" || return 1
  else
    rm -f "$home"/.whole* || return 1
    find "$home/" -mindepth 1 -maxdepth 1 ! -name .lock -exec rm -rf {} + || return 1
    "$base_python" -I -m venv "$home" || return 1
  fi
  wanted "$base_python" "$extra" >"$home/requirements.txt" || return 1
  # Whatever the index serves, only the files whose sums are written down are installed.
  "$python" -I -m pip install --quiet --disable-pip-version-check --no-input --require-hashes \
    --requirement "$project/packaging/pins/${extra:-run}.txt" >&2 || return 1
  # Settings of pip's own can send the packages elsewhere.
  "$python" -I -c '
import re, sys
from importlib.metadata import PackageNotFoundError, version
for line in open(sys.argv[1], encoding="utf-8"):
    if name := re.match(r"[\w.-]+", line):
        try:
            version(name[0])
        except PackageNotFoundError:
            sys.exit(f"gearplan: pip did not put {name[0]} into the environment; see: pip config list")
' "$home/requirements.txt" || return 1
  # The packages reach the disk before the stamps do.
  sync -f "$home" || return 1
  rm -f "$home/.adding" || return 1
  if [ -n "$extra" ]; then
    wanted "$base_python" '' >"$home/.whole.new" || return 1
    mv "$home/.whole.new" "$home/.whole" || return 1
    mv "$home/requirements.txt" "$home/.whole-$extra"
  else
    mv "$home/requirements.txt" "$home/.whole"
  fi
}
