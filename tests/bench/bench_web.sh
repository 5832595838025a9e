#!/bin/sh
# bench_web.sh PROGRAM BENCH FOLDER -- what the server of the sorting table costs. Run by make bench-web.
#
# A claim of 1,000 invented photos: the time of a tag on 50 of them, and previews a second beside a static nginx that hands out the very
# same files to the same client with the same number of connections. Then the tag again on 10,000.
set -eu
program=$1 bench=$2 folder=$3
mkdir -p "$folder"
folder=$(cd "$folder" && pwd)
server='' nginx=''
stop() {
    [ -z "$server" ] || kill "$server" 2>/dev/null || true
    [ -z "$nginx" ] || kill "$nginx" 2>/dev/null || true
    server='' nginx=''
}
trap stop EXIT

claim() { # N: made once, kept for the next run
    [ ! -d "$folder/claim-$1" ] || return 0
    echo "making a claim of $1 photos ..."
    rm -rf "$folder/card" "$folder/making"
    "$bench" card "$folder/card" "$1"
    "$program" new "$folder/making" --cause hail --front-azimuth 205 >/dev/null
    "$program" import "$folder/making" "$folder/card" >/dev/null 2>&1
    "$bench" dress "$folder/making"
    rm -rf "$folder/card"
    mv "$folder/making" "$folder/claim-$1"
}

serve() { # N: sets url
    rm -f "$folder/url"
    mkfifo "$folder/url"
    "$program" open "$folder/claim-$1" --no-browser >"$folder/url" &
    server=$!
    read -r url <"$folder/url"
    rm -f "$folder/url"
}

end() {
    stop
    wait
}

# wrk asks for one preview after the other, each connection from the first one on.
previews() { # BASE COOKIE: prints requests a second
    cat >"$folder/paths.lua" <<LUA
local paths = {}
for line in io.lines("$folder/paths") do paths[#paths + 1] = line end
local at = 0
request = function() at = at % #paths + 1; return wrk.format("GET", paths[at], { Cookie = "$2" }) end
done = function(summary) io.write(string.format("%.0f\n", summary.requests / summary.duration * 1e6));
  if summary.errors.status > 0 then io.write("with errors\n") end end
LUA
    wrk -t1 -c6 -d5s -s "$folder/paths.lua" "$1" | tail -n 1
}

nginx_config() {
    cat <<NGINX
worker_processes 2; error_log $folder/nginx.log; pid $folder/nginx.pid; daemon off;
events { worker_connections 256; }
http { access_log off; sendfile on; default_type image/jpeg; client_body_temp_path $folder/t1; proxy_temp_path $folder/t2;
       fastcgi_temp_path $folder/t3; uwsgi_temp_path $folder/t4; scgi_temp_path $folder/t5;
       server { listen 127.0.0.1:$1; root $folder/claim-1000/cache; } }
NGINX
}

claim 1000
serve 1000
echo 'a claim of 1,000 photos'
"$bench" ask "$url" 300

base=${url%/enter*}
cookie=$(curl -s -D - -o /dev/null "$url" | sed -n 's/^Set-Cookie: \([^;]*\).*/\1/p' | tr -d '\r')
ls "$folder/claim-1000/cache/320" | sed 's|\(.*\)\.jpg|/picture/\1/preview|' >"$folder/paths"
ours=$(previews "$base" "$cookie")
ls "$folder/claim-1000/cache/320" | sed 's|^|/320/|' >"$folder/paths"
port=18080
nginx_config $port >"$folder/nginx.conf"
"$(command -v nginx || echo /usr/sbin/nginx)" -c "$folder/nginx.conf" -p "$folder" 2>/dev/null &
nginx=$!
curl -s --retry 20 --retry-connrefused --retry-delay 1 -o /dev/null "http://127.0.0.1:$port/"
theirs=$(previews "http://127.0.0.1:$port" x)
end
echo "  previews a second, 6 connections:            $ours; static nginx $theirs: $((100 * ours / theirs)) %"

claim 10000
serve 10000
echo 'a claim of 10,000 photos'
"$bench" ask "$url" 30
end
