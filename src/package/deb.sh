#!/bin/sh
# deb.sh STAGE OUT VERSION -- makes a Debian package of what make install-program put into STAGE (its /usr), for this machine's architecture.
# Prints the package's path. Every time in it is SOURCE_DATE_EPOCH, so the same files give the same bytes.
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
here=$(cd "$(dirname "$0")" && pwd)
stage=$(cd "$1" && pwd)
mkdir -p "$2"
out=$(cd "$2" && pwd)
version=$3
: "${SOURCE_DATE_EPOCH:?}"
umask 022
work=$out/work
rm -rf "$work"
mkdir -p "$work/debian" "$stage/DEBIAN" "$stage/usr/share/doc/gablebook"
revision=$(sed -n '1s/.*(\(.*\)).*/\1/p' "$here/debian/changelog")
case $revision in "$version"-*) ;; *) echo "src/package/debian/changelog begins with $revision, the version is $version" >&2; exit 1 ;; esac

for program in "$stage/usr/bin/gablebook" "$stage/usr/libexec/gablebook/gablebook-heic"; do
    strip --strip-unneeded --remove-section=.comment --remove-section=.note "$program"
done
sh "$here/sbom.sh" "$stage/usr/bin/gablebook" "$stage/usr/libexec/gablebook/gablebook-heic" "$version" > "$stage/usr/share/doc/gablebook/sbom.spdx.json"
gzip -9nf "$stage/usr/share/man/man1/gablebook.1"
gzip -9nc "$here/debian/changelog" > "$stage/usr/share/doc/gablebook/changelog.Debian.gz"
cp "$here/debian/copyright" "$stage/usr/share/doc/gablebook/copyright"

cp "$here/debian/control" "$work/debian/control"
depends=$(cd "$work" && dpkg-shlibdeps -O -e"$stage/usr/bin/gablebook" -e"$stage/usr/libexec/gablebook/gablebook-heic" 2>"$work/shlibdeps.log" | sed 's/^shlibs:Depends=//') || {
    cat "$work/shlibdeps.log" >&2
    exit 1
}
arch=$(dpkg --print-architecture)
{
    sed -n '/^Package:/,$p' "$here/debian/control" | sed '/^Description:/,$d; /^Depends:/d; /^Architecture:/d'
    printf 'Version: %s\nArchitecture: %s\nDepends: %s\nInstalled-Size: %s\n' "$revision" "$arch" "$depends" \
        "$(find "$stage/usr" -type f -printf '%s\n' | awk '{ k += int(($1 + 1023) / 1024) } END { print k }')"
    sed -n '1,/^$/p' "$here/debian/control" | grep -E '^(Section|Priority|Maintainer):'
    sed -n '/^Description:/,$p' "$here/debian/control"
} > "$stage/DEBIAN/control"
(cd "$stage" && find usr -type f | LC_ALL=C sort | xargs md5sum) > "$stage/DEBIAN/md5sums"
find "$stage" -type d -exec chmod 755 {} +
find "$stage" -exec touch -h -d "@$SOURCE_DATE_EPOCH" {} +
deb=$out/gablebook_${revision}_$arch.deb
dpkg-deb --root-owner-group -Zxz --threads-max=1 --build "$stage" "$deb" >/dev/null
rm -rf "$work"
echo "$deb"
