#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The main job on two projects of the wardrobe room: one said in words, one
# written as a file.

bodkin=${1:-build}/bodkin
show() {
	echo
	printf '$ %s' "$bodkin"
	for word; do
		case $word in *' '*) printf ' "%s"' "$word" ;; *) printf ' %s' "$word" ;; esac
	done
	printf '\n\n'
	"$bodkin" "$@"
	status=$?
	[ "$status" -le 1 ] || exit "$status"
}
show check --words "unlined jacket in light cotton poplin with a fly-front zip and two boxed patch pockets, 90/14 needle, fusible interfacing"
show check tests/cases/check/lock-keepers-coat.yaml
cat <<END

That was a jacket said in words and a coat from a file. Your turn, with nothing but words:

    $bodkin

or look further:

    $bodkin help
END
