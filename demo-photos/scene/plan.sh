#!/bin/sh
# plan.sh -- works out, for every shot, where the camera stood and what it wrote: shots.csv (for render.sh) and truth.csv.
#
#   sh plan.sh [TRUTH_FILE]          default TRUTH_FILE: truth.csv
#
# Reads   sites.csv        one property a line: position of the middle of the house, front azimuth, day, zone, declination
#         shots_local.csv  one shot a line, in the house's own frame (see below)
# Writes  shots.csv        all of it in the world's frame, with what the EXIF tags will say; no header is ever needed twice
#         TRUTH_FILE       what was really so: the answer a test compares with (RFC 4180)
#
# House frame: metres, origin at the middle of the footprint on the ground, +x to the right of a person in the street who
# faces the front, y up, the street at negative z. World frame: x east, y up, z north.
#
# Cameras: A (phone) runs right, writes its zone and true headings. B (compact) runs 67 minutes slow, writes no zone, and its
# headings are magnetic: true heading minus the declination of sites.csv (World Magnetic Model 2025 at that place and day).
#
# Errors, all drawn from SEED and the shot's name, so that adding a shot leaves the others as they are:
#   sigma      3.0 to 9.0 m, uniform, one decimal: written as GPSHPositioningError
#   position   north and east each normal with sd sigma; altitude normal with sd sigma
#   heading    normal with sd 4 degrees (A) or 8 degrees (B)
# A shot within 3 s of the one before it by the same camera keeps that one's sigma and position error: it is the same fix.
# ERRORS=0 sh plan.sh writes the truth into the EXIF instead (for looking at the plan alone).
set -eu
cd "$(dirname "$0")"
LC_ALL=C awk -F, -v seed="${SEED:-41}" -v errors="${ERRORS:-1}" -v truth="${1:-truth.csv}" '
function rad(a) { return a*PI/180 }
function deg(a) { return a*180/PI }
function mod(a,b) { a=a-b*int(a/b); return a<0?a+b:a }
function tan(a) { return sin(a)/cos(a) }
function asin(v) { return atan2(v,sqrt(1-v*v)) }
function hms(s) { s=mod(s,86400); return sprintf("%02d:%02d:%02d",int(s/3600),int(s%3600/60),s%60) }
# minimal-standard generator: the same numbers in every awk
function rnd() { lcg=(lcg*16807)%2147483647; return lcg/2147483647 }
function gauss(  a) { a=rnd(); return sqrt(-2*log(a))*cos(2*PI*rnd()) }
function start(name,  i) {
  lcg=seed*7919+1
  for(i=1;i<=length(name);i++) lcg=(lcg*131+index("0123456789_ABCDEFGHIJKLMNOPQRSTUVWXYZ",substr(name,i,1)))%2147483647
  for(i=0;i<20;i++) rnd()
}
# position of the sun, low-precision almanac formulas (about 0.01 degree); jd of the instant in UT
function sun(jd,lat,lon,   n,L,g,lam,eps,ra,dec,gmst,H) {
  n=jd-2451545.0; L=mod(280.460+0.9856474*n,360); g=rad(mod(357.528+0.9856003*n,360))
  lam=rad(L+1.915*sin(g)+0.020*sin(2*g)); eps=rad(23.439-0.0000004*n)
  ra=atan2(cos(eps)*sin(lam),cos(lam)); dec=asin(sin(eps)*sin(lam))
  gmst=mod(280.46061837+360.98564736629*n,360); H=rad(gmst+lon)-ra
  sunel=deg(asin(sin(rad(lat))*sin(dec)+cos(rad(lat))*cos(dec)*cos(H)))
  sunaz=mod(deg(atan2(-sin(H),tan(dec)*cos(rad(lat))-sin(rad(lat))*cos(H)))+360,360)
}
function jd0(y,m,d,  a) { a=int((14-m)/12); y=y+4800-a; m=m+12*a-3; return d+int((153*m+2)/5)+365*y+int(y/4)-int(y/100)+int(y/400)-32045-0.5 }
function fault(text) { planted=planted (planted==""?"":"; ") text }
function quote(s) { if(s ~ /[",]/) { gsub(/"/,"\"\"",s); s="\"" s "\"" } return s }
BEGIN { PI=atan2(0,-1)
  print "file,true_time,date,camera,site,east,north,up,look_east,look_north,look_up,lens35,orientation,place,subject,distance,fx,gps,roll,chalk,heading_true,pitch,lat,lon,alt,exif_lat,exif_lon,exif_alt,hpe,camera_time,utc_date,utc_time,offset,exif_dir,exif_dir_ref,sun_azimuth,sun_height,front_azimuth,note"
  printf "file,place,subject,distance,property,true_time,latitude,longitude,altitude_m,heading_true_deg,planted_fault,shows\r\n" > truth }
FNR==1 { next }
FILENAME=="sites.csv" { lat0[$1]=$2; lon0[$1]=$3; alt0[$1]=$4; fa[$1]=$5; day[$1]=$6; off[$1]=$7; tz[$1]=$8; decl[$1]=$9; next }
{ s=$4; h=rad(fa[s]+180)
  e=$5*cos(h)+$7*sin(h); n=-$5*sin(h)+$7*cos(h); le=$8*cos(h)+$10*sin(h); ln=-$8*sin(h)+$10*cos(h)
  head=mod(deg(atan2(le-e,ln-n)),360); pit=deg(atan2($9-$6,sqrt((le-e)^2+(ln-n)^2)))
  a=6378137; f=1/298.257223563; e2=f*(2-f); sl=sin(rad(lat0[s])); w=1-e2*sl*sl
  M=a*(1-e2)/(w*sqrt(w)); N=a/sqrt(w)
  lat=lat0[s]+deg(n/(M+alt0[s])); lon=lon0[s]+deg(e/((N+alt0[s])*cos(rad(lat0[s])))); alt=alt0[s]+$6
  split($2,T,":"); sec=T[1]*3600+T[2]*60+T[3]; split(day[s],D,":")
  usec=sec-tz[s]*3600; ud=sprintf("%s:%s:%02d",D[1],D[2],D[3]+int(usec/86400))
  sun(jd0(D[1]+0,D[2]+0,D[3]+0)+usec/86400,lat,lon)
  # errors
  start($1); sg=sprintf("%.1f",3+6*rnd()); ge=gauss(); gn=gauss(); gu=gauss(); gh=gauss()
  if(($3 in lastsec) && sec-lastsec[$3]<=3) { sg=lsg[$3]; ge=lge[$3]; gn=lgn[$3]; gu=lgu[$3] }
  lastsec[$3]=sec; lsg[$3]=sg; lge[$3]=ge; lgn[$3]=gn; lgu[$3]=gu
  if(!errors) ge=gn=gu=gh=0
  xlat=lat+deg(gn*sg/M); xlon=lon+deg(ge*sg/(N*cos(rad(lat0[s])))); xalt=alt+gu*sg
  xd=mod(head+gh*($3=="A"?4:8),360); xr="T"; if($3=="B") { xd=mod(xd-decl[s],360); xr="M" }
  cam=hms(sec-($3=="B"?67*60:0))
  printf "%s,%s,%s,%s,%s,%.3f,%.3f,%.3f,%.3f,%.3f,%.3f,%s,%s,%s,%s,%s,%s,%s,%s,%s,%.2f,%.2f,%.7f,%.7f,%.2f,%.7f,%.7f,%.2f,%s,%s,%s,%s,%s,%.2f,%s,%.2f,%.2f,%s,%s\n",
    $1,$2,day[s],$3,s,e,n,$6,le,ln,$9,$11,$12,$13,$14,$15,$16,$17,$18,$19,head,pit,lat,lon,alt,xlat,xlon,xalt,errors?sg:"",cam,ud,hms(usec),($3=="A"?off[s]:""),xd,xr,sunaz,sunel,fa[s],$20
  # truth
  planted=""
  if($21!="") fault("near-duplicate of " $21 ".JPG")
  if($16=="blur") fault("blurred"); if($16=="soft") fault("slightly soft"); if($16=="over") fault("overexposed")
  if($12!=1) fault("stored turned (orientation " $12 ")")
  if($17=="none") fault("no GPS"); if($17=="notime") fault("no GPS time")
  if($3=="B") { fault("clock 67 min slow"); fault("no zone"); if($17!="none") fault("magnetic heading") }
  gsub(/:/,"-",day[s])
  printf "%s.JPG,%s,%s,%s,%s,%sT%s%s,%.7f,%.7f,%.2f,%.2f,%s,%s\r\n",$1,$13,$14,$15,s,day[s],$2,off[s],lat,lon,alt,head,quote(planted),quote($20) > truth
  gsub(/-/,":",day[s])
}' sites.csv shots_local.csv > shots.csv
