#!/bin/sh
# make_card.sh PHOTOS OUT COUNT [SIZE] -- a card of COUNT photos of 12 megapixels (SIZE: 4032x3024), made of the demo photos. The same
# bytes every time.
#
# Ten pictures are enlarged, with a sensor's noise, and keep the EXIF and the thumbnail of the photo they were made of; COUNT files are
# made of them that differ in the time they were taken, three seconds apart: each has a digest of its own.
set -eu
photos=$1
out=$2
count=$3
size=${4:-4032x3024}
[ "$(ls "$out" 2>/dev/null | wc -l)" != "$count" ] || exit 0
rm -rf "$out" "$out.base"
mkdir -p "$out" "$out.base"
n=0
for f in "$photos"/IMG_21*.JPG; do
    [ $n -lt 10 ] || break
    convert "$f" -auto-orient -strip -resize "$size!" -seed $n -attenuate 0.25 +noise Gaussian -sampling-factor 4:2:0 -quality 85 "$out.base/$n.jpg"
    exiftool -q -overwrite_original -tagsfromfile "$f" -all:all '-ThumbnailImage<ThumbnailImage' -Orientation#=1 -GPSTimeStamp=11:22:33 "$out.base/$n.jpg"
    n=$((n + 1))
done
# A photo's times, three as text and that of GPS as three rationals, become the shot's own: same length, so nothing else moves.
perl -e '
    use POSIX qw(strftime);
    my ($base, $out, $count) = @ARGV;
    my @pictures;
    for my $n (0 .. 9) {
        open my $in, "<:raw", "$base/$n.jpg" or die "$base/$n.jpg: $!";
        local $/;
        push @pictures, <$in>;
    }
    for my $i (0 .. $count - 1) {
        my $picture = $pictures[$i % 10];
        my $time = strftime("%Y:%m:%d %H:%M:%S", gmtime(1778767200 + 3 * $i));
        my $head = substr($picture, 0, 65536);
        $head =~ s/\d{4}:\d\d:\d\d \d\d:\d\d:\d\d/$time/g or die "no time in picture " . $i % 10;
        my ($s, $m, $h) = gmtime(1778767200 + 5 * 3600 + 3 * $i);
        my $there = index($head, pack("N6", 11, 1, 22, 1, 33, 1));
        $there >= 0 or die "no GPS time in picture " . $i % 10;
        substr($head, $there, 24) = pack("N6", $h, 1, $m, 1, $s, 1);
        my $name = sprintf("%s/IMG_%05d.JPG", $out, $i);
        open my $file, ">:raw", $name or die "$name: $!";
        print $file $head, substr($picture, 65536) or die "$name: $!";
        close $file or die "$name: $!";
    }' "$out.base" "$out" "$count"
rm -rf "$out.base"
sync
