#!/usr/bin/env bash
# Runs a command with a PostgreSQL of its own, which is gone afterwards:  tools/with_postgres.sh pytest tests/station
# The server listens on a socket only, so that no port is taken and no password needed. It may lose everything in a
# power cut (fsync off): for tests, never for a book.
set -euo pipefail
[ $# -gt 0 ] || { echo "usage: $0 COMMAND [WORD]..." >&2; exit 2; }

programs=$(ls -d /usr/lib/postgresql/*/bin 2>/dev/null | sort -V | tail -1)   # Debian keeps them off PATH
programs=${programs:-$(dirname "$(command -v pg_ctl || echo /none)")}
[ -x "$programs/initdb" ] || { echo "no PostgreSQL server here: apt-get install postgresql" >&2; exit 2; }

as() {   # initdb and pg_ctl refuse to run as root
    if [ "$(id -u)" = 0 ]; then runuser -u postgres -- "$@"; else "$@"; fi
}
folder=$(mktemp -d /tmp/hb-pg-XXXXXX)   # short: a socket's path has a limit near 107 bytes
[ "$(id -u)" != 0 ] || chown postgres "$folder"
stop() {
    as "$programs/pg_ctl" -D "$folder/data" -s -m immediate stop || true
    rm -rf "$folder"
}
trap stop EXIT

cd /   # postgres may not enter the folder that this is started from
as "$programs/initdb" -D "$folder/data" -U haulbook -A trust -E UTF8 --locale=C.UTF-8 --no-sync >/dev/null
as "$programs/pg_ctl" -D "$folder/data" -s -w -l "$folder/log" start \
    -o "-c listen_addresses='' -c unix_socket_directories=$folder -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
chmod 755 "$folder"
as "$programs/createdb" -h "$folder" -U haulbook haulbook
cd "$OLDPWD"

export HAULBOOK_DATABASE_URL="postgresql://haulbook@/haulbook?host=$folder"
"$@"
