#!/bin/sh
# sbom.sh PROGRAM DECODER VERSION -- what the program and its decoder for HEIC are linked with, as an SPDX 2.3 document in JSON on standard output.
# Libraries are those that the two themselves name (their NEEDED entries); package, version and supplier come from dpkg, and where that knows
# nothing the document says NOASSERTION. The time in it is SOURCE_DATE_EPOCH.
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
program=$1
decoder=$2
version=$3
: "${SOURCE_DATE_EPOCH:?}"
created=$(date -u -d "@$SOURCE_DATE_EPOCH" +%Y-%m-%dT%H:%M:%SZ)
sha256=$(sha256sum "$program" | cut -d' ' -f1)

licence() { # of a library's own code, by the name of the library
    case $1 in
    libc.so* | libm.so*) echo LGPL-2.1-or-later ;;
    libglib-* | libgio-* | libgobject-* | libexif.*) echo LGPL-2.1-or-later ;;
    libjpeg.*) echo 'IJG AND BSD-3-Clause AND Zlib' ;;
    libsqlite3.*) echo blessing ;;
    libcrypto.so.3) echo Apache-2.0 ;;
    libjansson.*) echo MIT ;;
    libarchive.*) echo BSD-2-Clause ;;
    libqpdf.*) echo Apache-2.0 ;;
    libfontconfig.*) echo HPND-sell-variant ;;
    libpng16.*) echo libpng-2.0 ;;
    liblcms2.*) echo MIT ;;
    libmicrohttpd.*) echo LGPL-2.1-or-later ;;
    libheif.*) echo LGPL-3.0-or-later ;;
    libcairo.*) echo 'LGPL-2.1-only OR MPL-1.1' ;;
    libpango-* | libpangocairo-*) echo LGPL-2.0-or-later ;;
    *) echo NOASSERTION ;;
    esac
}

where() { # the file that the loader takes
    ldd "$program" "$decoder" | awk -v name="$1" '$1 == name { print $3; exit }'
}

needed=$(LC_ALL=C readelf -d "$program" "$decoder" | sed -n 's/.*(NEEDED).*\[\(.*\)\]/\1/p' | grep -v '^lib\(asan\|ubsan\)' | LC_ALL=C sort -u)
printf '{\n  "spdxVersion": "SPDX-2.3",\n  "dataLicense": "CC0-1.0",\n  "SPDXID": "SPDXRef-DOCUMENT",\n  "name": "gablebook-%s",\n' "$version"
printf '  "documentNamespace": "https://spdx.org/spdxdocs/gablebook-%s-%s",\n' "$version" "$sha256"
printf '  "creationInfo": { "created": "%s", "creators": ["Tool: gablebook-sbom-%s"] },\n  "packages": [\n' "$created" "$version"
printf '    { "SPDXID": "SPDXRef-gablebook", "name": "gablebook", "versionInfo": "%s", "downloadLocation": "NOASSERTION", "filesAnalyzed": false,\n' "$version"
printf '      "licenseConcluded": "GPL-3.0-or-later", "licenseDeclared": "GPL-3.0-or-later", "copyrightText": "2026 the gablebook developers",\n'
printf '      "checksums": [{ "algorithm": "SHA256", "checksumValue": "%s" }] }' "$sha256"
for library in $needed; do
    file=$(where "$library")
    package='' found='' real=''
    [ -z "$file" ] || real=$(readlink -f "$file")
    for path in "$file" "$real" "/usr$file" "${file#/usr}"; do
        [ -n "$path" ] && [ -z "$package" ] && package=$(dpkg -S "$path" 2>/dev/null | head -n 1 | sed 's/: .*//; s/,.*//') || true
    done
    [ -z "$package" ] || found=$(dpkg-query -W -f '${Package} ${Version} ${Architecture}' "$package" 2>/dev/null | head -n 1) || found=''
    set -- ${found:-"$library" NOASSERTION unknown}
    id=$(printf '%s' "$library" | tr -c 'A-Za-z0-9.\n' '-')
    printf ',\n    { "SPDXID": "SPDXRef-%s", "name": "%s", "versionInfo": "%s", "downloadLocation": "NOASSERTION", "filesAnalyzed": false,\n' "$id" "$1" "$2"
    printf '      "licenseConcluded": "NOASSERTION", "licenseDeclared": "%s", "copyrightText": "NOASSERTION", "comment": "%s"' \
        "$(licence "$library")" "$library"
    if [ -n "$found" ]; then
        purl=$(printf '%s' "$2" | sed 's/+/%2B/g; s/:/%3A/g; s/~/%7E/g')
        printf ',\n      "supplier": "Organization: Debian", "externalRefs": [{ "referenceCategory": "PACKAGE-MANAGER", "referenceType": "purl",\n'
        printf '        "referenceLocator": "pkg:deb/debian/%s@%s?arch=%s" }]' "$1" "$purl" "$3"
    fi
    printf ' }'
done
printf '\n  ],\n  "relationships": [\n    { "spdxElementId": "SPDXRef-DOCUMENT", "relationshipType": "DESCRIBES", "relatedSpdxElement": "SPDXRef-gablebook" }'
for library in $needed; do
    id=$(printf '%s' "$library" | tr -c 'A-Za-z0-9.\n' '-')
    printf ',\n    { "spdxElementId": "SPDXRef-gablebook", "relationshipType": "DYNAMIC_LINK", "relatedSpdxElement": "SPDXRef-%s" }' "$id"
done
printf '\n  ]\n}\n'
