# Runs one throw-away PostgreSQL server in the folder $1 with the programs in $2, on a Unix socket
# and no network. Told `kill` it kills the server at once, told `start` it starts it again; when the
# other end of its input is gone, however that end died, it stops the server.
set -eu
folder=$1 PATH=$2:$PATH
export LC_ALL=C
data=$folder/data
settings="-c listen_addresses= -c unix_socket_directories=$folder -c max_connections=300"
settings="$settings -c shared_buffers=32MB ${MORE_SETTINGS:-}"

start() {
    pg_ctl -D "$data" -w -t 60 -l "$folder/log" -o "$settings" start >"$folder/start" 2>&1 ||
        { cat "$folder/start" "$folder/log" >&2; exit 1; }
}

initdb -D "$data" -U keeper -A trust -E UTF8 --no-sync ${MORE_INITDB:-} >"$folder/initdb" 2>&1 ||
    { cat "$folder/initdb" >&2; exit 1; }
# No file may grow beyond this many blocks of 512 bytes, where a test asks for it.
[ -z "${MOST_BLOCKS:-}" ] || ulimit -f "$MOST_BLOCKS"
start
echo ready
while read -r order; do
    case $order in
        kill)
            server=$(head -n 1 "$data/postmaster.pid")
            # Stopped first, so that it starts nothing new while its processes are killed.
            kill -STOP "$server"
            workers=$(ps -o pid= --ppid "$server")
            kill -KILL "$server" $workers 2>/dev/null || true
            while kill -0 "$server" 2>/dev/null; do sleep 0.01; done
            ;;
        start) start ;;
    esac
    echo done
done
pg_ctl -D "$data" -m immediate stop >/dev/null 2>&1 || true
rm -rf "$folder"/* || true
