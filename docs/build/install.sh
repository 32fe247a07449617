#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Puts files under a folder, or takes them away again.
#
#   install.sh put|remove FOLDER MODE:FILE:PLACE ...
#
# What is taken away are the files named, and every folder that is left empty by
# it, but for FOLDER itself and the few every system has.

set -eu
do=$1 folder=$2
shift 2

# Empty folders from $1 upwards, as far as FOLDER.
tidy() {
	dir=$1
	while [ "$dir" != . ]; do
		case $dir in bin|share|share/man|share/doc) return ;; esac
		rmdir "$folder/$dir" 2>/dev/null || return 0
		dir=$(dirname "$dir")
	done
}

for item; do
	mode=${item%%:*} place=${item##*:}
	file=${item#*:} file=${file%:*}
	case $do in
	put)
		mkdir -p "$folder/$(dirname "$place")"
		install -m "$mode" "$file" "$folder/$place"
		;;
	remove)
		rm -f "$folder/$place"
		tidy "$(dirname "$place")"
		;;
	*) echo "install.sh: put or remove" >&2; exit 2 ;;
	esac
done
[ "$do" = remove ] || echo "bodkin is installed under $folder"
