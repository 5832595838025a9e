#!/bin/sh
# render.sh -- renders shots to OUT/FILE.JPG: the picture, what lens and sensor add, the planted fault, and the EXIF tags.
#
#   sh render.sh [FILE...]           all shots of shots.csv, or those named (IMG_2102 CRV00031 ...)
#
# Environment, with the usual value:
#   OUT=photos       where the pictures go
#   W=1600 H=1200    size as stored (long side, short side); 800x600 renders in less than half the time
#   JOBS=1           shots rendered side by side, one core each
#   MAX=255000       largest size of a picture in bytes; JPEG quality steps down from 84 until it fits
#   POVOPT="+A0.35 +R2"   options for POV-Ray (antialiasing)
#   CONVERT=convert  ImageMagick's command
#   TMP_DIR=tmp      scratch files; KEEP=1 keeps them (POV-Ray's own picture and messages)
#
# Needs POV-Ray 3.7 with its include files, ImageMagick 6 or 7 and exiftool. Runs plan.sh first when shots.csv is missing.
# house.inc is the scene: camera, sun, materials, macros. It includes house_props.inc (things held into the picture, fence),
# house_parts.inc (the house) and house_grounds.inc (ground, street, trees, garage).
# a row's columns are read whole, and options are split on purpose:
# shellcheck disable=SC2034,SC2046,SC2086
set -eu
cd "$(dirname "$0")"
: "${OUT:=photos}" "${JOBS:=1}" "${W:=1600}" "${H:=1200}" "${MAX:=255000}" "${POVOPT:=+A0.35 +R2}" "${CONVERT:=convert}" "${KEEP:=}" "${TMP_DIR:=tmp}"
export OUT JOBS W H MAX POVOPT CONVERT KEEP TMP_DIR
mkdir -p "$OUT" "$TMP_DIR"
if [ "${1:-}" != --one ]; then
  [ -f shots.csv ] || sh ./plan.sh "$TMP_DIR/truth.csv"
  [ $# -gt 0 ] || set -- $(awk -F, 'FNR>1 { print $1 }' shots.csv)
  printf '%s\n' "$@" | xargs -P "$JOBS" -n 1 sh ./render.sh --one
  exit
fi

# ---- one shot: its row of shots.csv
shot=$2
row=$(awk -F, -v f="$shot" 'FNR>1 && $1==f' shots.csv)
[ -n "$row" ] || { echo "render.sh: $shot: not in shots.csv" >&2; exit 1; }
IFS=, read -r file true_time date camera site e n u le ln lu lens orient place subject distance fx gps roll chalk head pitch lat lon alt xlat xlon xalt hpe camtime utcd utct offset xdir xref sunaz sunel front note <<ROW
$row
ROW
case $orient in 6|8) portrait=1; rw=$H; rh=$W;; *) portrait=0; rw=$W; rh=$H;; esac
p=$TMP_DIR/$shot

# ---- the picture
cat > "$p.pov" <<POV
#version 3.7;
#declare Var=$site; #declare FrontAz=$front; #declare SunAz=$sunaz; #declare SunEl=$sunel;
#declare CamPos=<$e,$u,$n>; #declare LookAt=<$le,$lu,$ln>; #declare F35=$lens; #declare Portrait=$portrait; #declare Roll=$roll;
#declare Subject="$subject"; #declare Chalk=${chalk:-0};
#include "house.inc"
POV
povray "+I$p.pov" "+O$p.png" "+W$rw" "+H$rh" $POVOPT -D +WT1 > "$p.log" 2>&1 || { echo "render.sh: $shot: POV-Ray failed" >&2; grep -A2 Error "$p.log" >&2; exit 1; }

# ---- lens and sensor: slight softness, tone curve, darker corners, noise; the planted fault; turned as the sensor stores it
case $fx in
  blur) planted='-motion-blur 0x16+24';;  soft) planted='-blur 0x1.7';;  over) planted='-evaluate multiply 1.75 -evaluate add 9%';;  *) planted='';;
esac
case $orient in 6) turn='-rotate 270';; 8) turn='-rotate 90';; 3) turn='-rotate 180';; *) turn='';; esac
case $camera in B) tone='-modulate 99,92 -color-matrix 1.0,0,0,0,0.985,0,0,0,1.03';; *) tone='-modulate 101,106';; esac
# exposure: as a camera would choose it, from the mean, but letting the brightest part come out nearly white
gain=$($CONVERT "$p.png" -alpha off -colorspace gray -resize 64x64! -format '%[fx:mean] %[fx:maxima]' info: |
  awk '{ g=0.47/$1; h=0.97/$2; if(h>1.3) h=1.3; if(g<h) g=h; if(g>2.1) g=2.1; print g }')
seed=$(printf %s "$shot" | cksum | cut -d' ' -f1)
$CONVERT "$p.png" -alpha off -evaluate multiply "$gain" -blur 0x0.45 $planted -sigmoidal-contrast 2.8,46% $tone \
  \( -size "${rw}x${rh}" radial-gradient:white-gray72 -evaluate pow 0.6 \) -compose multiply -composite \
  -seed "$seed" -attenuate 0.055 +noise Gaussian -blur 0x0.3 $turn +repage "$p.mid.png"
for q in 84 80 76 72 68 64 60 55 50; do
  $CONVERT "$p.mid.png" -strip -sampling-factor 4:2:0 -quality $q "$p.jpg"
  [ "$(wc -c < "$p.jpg")" -gt "$MAX" ] || break
done
$CONVERT "$p.mid.png" -resize 160x120 -strip -quality 70 "$p.thumb.jpg"

# ---- EXIF, from the row alone
set -- -q -overwrite_original -n "-ThumbnailImage<=$p.thumb.jpg" -Orientation="$orient" -XResolution=72 -YResolution=72 -ResolutionUnit=2 -YCbCrPositioning=1 \
  -ExifVersion=0232 -ColorSpace=1 -ExifImageWidth="$W" -ExifImageHeight="$H" "-Software=gablebook demo scene" \
  -DateTimeOriginal="$date $camtime" -CreateDate="$date $camtime" -ModifyDate="$date $camtime" \
  -FocalLengthIn35mmFormat="$lens" -ExposureProgram=2 -MeteringMode=5 -ExifIFD:Flash=16 -WhiteBalance=0 -ISO=100
case $camera in
  A) set -- "$@" -Make=Larkfield "-Model=LF-7 phone" -ExifIFD:SerialNumber=LF7-004418 -FocalLength="$(awk "BEGIN{print $lens*0.162}")" -FNumber=1.8 -ExposureTime=0.0008 "-OffsetTimeOriginal=$offset" "-OffsetTime=$offset" "-OffsetTimeDigitized=$offset";;
  B) set -- "$@" -Make=Pellow "-Model=C20 compact" -ExifIFD:SerialNumber=C20-90127 -FocalLength="$(awk "BEGIN{print $lens*0.185}")" -FNumber=3.2 -ExposureTime=0.002;;
esac
if [ "$gps" != none ]; then
  set -- "$@" -GPSVersionID='2 3 0 0' -GPSMapDatum=WGS-84 \
    -GPSLatitude="$(awk "BEGIN{printf \"%.7f\",($xlat<0?-1:1)*$xlat}")" -GPSLatitudeRef="$(awk "BEGIN{print ($xlat<0?\"S\":\"N\")}")" \
    -GPSLongitude="$(awk "BEGIN{printf \"%.7f\",($xlon<0?-1:1)*$xlon}")" -GPSLongitudeRef="$(awk "BEGIN{print ($xlon<0?\"W\":\"E\")}")" \
    -GPSAltitude="$xalt" -GPSAltitudeRef=0 -GPSImgDirection="$xdir" -GPSImgDirectionRef="$xref"
  [ -z "$hpe" ] || set -- "$@" -GPSHPositioningError="$hpe"
  [ "$gps" = notime ] || set -- "$@" -GPSDateStamp="$utcd" -GPSTimeStamp="$utct"
fi
exiftool "$@" "$p.jpg"
touch -d "$(printf %s "$utcd" | tr : -) $utct UTC" "$p.jpg"      # the file's own time: when it was taken
mv "$p.jpg" "$OUT/$file.JPG"
rm -f "$p.mid.png" "$p.thumb.jpg"; [ -n "$KEEP" ] || rm -f "$p.png" "$p.pov" "$p.log"
