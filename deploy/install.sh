#!/bin/sh
# Installs GraftWatch from this folder on a Linux machine with systemd, or brings an installation up to date. Run as root.
# Settings and data that are there are left alone. Running it twice changes nothing.
#
#   ./install.sh            install or update
#   ./install.sh --remove   take the program away; settings and data stay
#
# DESTDIR=/some/root installs below a folder, without user or service, for package makers.
set -eu
cd "$(dirname "$0")"
root=${DESTDIR:-}

case "$(uname -m)" in
  x86_64 | aarch64) ;;
  *) [ -n "$root" ] || { echo "GraftWatch runs on 64-bit Intel/AMD and 64-bit ARM; this machine is $(uname -m). 32-bit ARM is not supported." >&2; exit 1; } ;;
esac
if [ -z "$root" ] && [ "$(id -u)" -ne 0 ]; then
  echo "Run this as root: sudo ./install.sh" >&2
  exit 1
fi
if [ -e "$root/var/lib/dpkg/info/graftwatch.list" ]; then
  echo "GraftWatch is installed as a Debian package here; update that instead: apt install ./graftwatch_….deb" >&2
  exit 1
fi

service() {
  if [ -z "$root" ] && [ -d /run/systemd/system ]; then systemctl "$@"; fi
}

if [ "${1:-}" = --remove ]; then
  service disable --now graftwatch.service || true
  rm -rf "$root/usr/lib/graftwatch" "$root/usr/share/graftwatch"
  rm -f "$root/usr/bin/graftwatch" "$root/etc/systemd/system/graftwatch.service" "$root/usr/share/man/man1/graftwatch.1" \
    "$root/usr/share/bash-completion/completions/graftwatch" "$root/usr/share/zsh/site-functions/_graftwatch" "$root/usr/share/fish/vendor_completions.d/graftwatch.fish"
  service daemon-reload
  echo "The program is gone. Settings stay in /etc/graftwatch, data in /var/lib/graftwatch."
  exit 0
fi
[ $# -eq 0 ] || { echo "Usage: ./install.sh [--remove]" >&2; exit 2; }

# The program is put beside the old one and moved into place, so that a running one is never half written.
put() {
  mkdir -p "$root$(dirname "$3")"
  cp "$2" "$root$3.new"
  chmod "$1" "$root$3.new"
  mv -f "$root$3.new" "$root$3"
}
put 755 lib/graftwatch /usr/lib/graftwatch/graftwatch
put 644 lib/libe_sqlite3.so /usr/lib/graftwatch/libe_sqlite3.so
mkdir -p "$root/usr/bin"
ln -sfn ../lib/graftwatch/graftwatch "$root/usr/bin/graftwatch"
put 644 graftwatch.service /etc/systemd/system/graftwatch.service
put 644 share/man/graftwatch.1 /usr/share/man/man1/graftwatch.1
put 644 share/completion/graftwatch.bash /usr/share/bash-completion/completions/graftwatch
put 644 share/completion/_graftwatch /usr/share/zsh/site-functions/_graftwatch
put 644 share/completion/graftwatch.fish /usr/share/fish/vendor_completions.d/graftwatch.fish
for schema in etc/schema/*.json; do put 644 "$schema" "/usr/share/graftwatch/schema/${schema##*/}"; done

if [ -z "$root" ] && ! getent passwd graftwatch >/dev/null; then
  useradd --system --user-group --home-dir /var/lib/graftwatch --no-create-home --shell /usr/sbin/nologin graftwatch
fi
for file in etc/*.toml; do
  [ -e "$root/etc/graftwatch/${file##*/}" ] || put 644 "$file" "/etc/graftwatch/${file##*/}"
done
mkdir -p "$root/var/lib/graftwatch"
if [ -z "$root" ]; then
  chown root:graftwatch /etc/graftwatch && chmod 750 /etc/graftwatch
  chown graftwatch:graftwatch /var/lib/graftwatch && chmod 750 /var/lib/graftwatch
  [ -d /etc/credstore ] || mkdir -m 700 /etc/credstore
fi

service daemon-reload
service enable graftwatch.service
if grep -q '^# FILL ME IN' "$root/etc/graftwatch/graftwatch.toml"; then
  echo "Installed. It waits for its settings: edit /etc/graftwatch/graftwatch.toml, then systemctl start graftwatch"
else
  service restart graftwatch.service
  echo "Installed and started."
fi
