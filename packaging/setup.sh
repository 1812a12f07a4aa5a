# Shared by run and test: finds Python, the system libraries and the private environment; installs what is missing.
# Sourced, not run. Sets $project and $python. Everything here is safe to repeat.

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
for_wayland='libwayland-client.so.0:libwayland-client0 libwayland-cursor.so.0:libwayland-cursor0
libwayland-egl.so.1:libwayland-egl1'

find_python() {
  local name
  for name in python3 python3.14 python3.13 python3.12 python3.11; do
    if command -v "$name" >/dev/null && "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
      base_python=$(command -v "$name")
      return
    fi
  done
  say "Python 3.11 or later is needed and was not found (on Debian 12 and Ubuntu 24.04: apt-get install python3)."
  exit 1
}

# Prints the packages whose library cannot be loaded.
missing_packages() {
  local pairs=$always
  if [ -n "${DISPLAY:-}" ]; then
    pairs="$pairs $for_x"
  elif [ -n "${WAYLAND_DISPLAY:-}" ]; then
    pairs="$pairs $for_wayland"
  fi
  # shellcheck disable=SC2086
  "$base_python" -S -c '
import ctypes, importlib.util, sys
for pair in sys.argv[1:]:
    library, package = pair.split(":")
    try:
        ctypes.CDLL(library)
    except OSError:
        print(package)
if importlib.util.find_spec("ensurepip") is None or importlib.util.find_spec("venv") is None:
    print(f"python{sys.version_info[0]}.{sys.version_info[1]}-venv")
' $pairs
}

install_packages() {
  local packages as_root=()
  packages=$(missing_packages | tr '\n' ' ')
  packages=${packages% }
  [ -n "$packages" ] || return 0
  local line="apt-get install -y --no-install-recommends $packages"
  if ! command -v apt-get >/dev/null; then
    say "these system libraries are missing (Debian names): $packages. Install them and start again."
    exit 1
  fi
  if [ "$(id -u)" -ne 0 ]; then
    # Ask for rights only where somebody can answer.
    if command -v sudo >/dev/null && { sudo -n true 2>/dev/null || [ -t 0 ]; }; then
      as_root=(sudo)
    else
      say "these system libraries are missing and need rights to install. Let an administrator run:"
      say "  $line"
      exit 1
    fi
  fi
  say "installing system libraries: $packages"
  export DEBIAN_FRONTEND=noninteractive
  # shellcheck disable=SC2086
  if ! "${as_root[@]}" $line >&2; then
    "${as_root[@]}" apt-get update >&2
    # shellcheck disable=SC2086
    "${as_root[@]}" $line >&2 || { say "could not install; by hand: $line"; exit 1; }
  fi
}

# make_environment EXTRA: the private environment with the pinned dependencies, and those of the extra if named.
make_environment() {
  local extra=${1:-} home key stamp
  if [ -w "$project" ]; then
    home=$project/.venv
  else
    home=${XDG_CACHE_HOME:-$HOME/.cache}/gearplan/venv
  fi
  python=$home/bin/python
  stamp=$home/.complete${extra:+-$extra}
  key=$(cat "$project/pyproject.toml" "$project/packaging/constraints.txt" | cksum; "$base_python" -V)
  if [ "$(cat "$stamp" 2>/dev/null)" = "$key" ] && [ -x "$python" ]; then
    return
  fi
  mkdir -p "$(dirname "$home")" || { say "no folder for the private environment: $(dirname "$home")"; exit 1; }
  (
    # Two starts at once: the second waits and finds the work done.
    flock 9
    [ "$(cat "$stamp" 2>/dev/null)" = "$key" ] && [ -x "$python" ] && exit 0
    say "setting up the private environment in $home (once; needs the network)"
    # What a killed set-up left behind is not to be trusted.
    [ ! -e "$home.partial" ] || rm -rf "$home"
    if ! "$python" -m pip --version >/dev/null 2>&1 ||
      ! "$python" -c "import sys; sys.exit(sys.version.split()[0] != '$("$base_python" -V | cut -d' ' -f2)')"; then
      rm -rf "$home"
      "$base_python" -m venv "$home"
    fi
    rm -f "$stamp"
    touch "$home.partial"
    "$base_python" - "$project/pyproject.toml" "$extra" >"$home/requirements.txt" <<'PY'
import sys, tomllib
project = tomllib.load(open(sys.argv[1], "rb"))["project"]
print(*project["dependencies"], *project["optional-dependencies"].get(sys.argv[2], []), sep="\n")
PY
    "$python" -m pip install --quiet --disable-pip-version-check --no-input \
      --constraint "$project/packaging/constraints.txt" --requirement "$home/requirements.txt" >&2
    printf '%s' "$key" >"$stamp"
    rm -f "$home.partial"
  ) 9>"$home.lock" || { say "the private environment could not be set up; start again when the cause is mended"; exit 1; }
}
