#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The main job on two projects of the wardrobe room: one said in words, one
# written as a file.

bodkin=${1:-build}/bodkin
show() {
	echo
	echo "\$ $bodkin $*"
	echo
	"$bodkin" "$@"
	status=$?
	echo
	[ "$status" -le 1 ] || exit "$status"
}
show check --brief --words "unlined bargee's jacket in light cotton poplin with a fly-front zip and two boxed patch pockets, 90/14 needle, fusible interfacing"
show check tests/cases/check/lock-keepers-coat.yaml
cat <<END
That was a jacket in words, one line for each finding, and a coat in full from a file.
Your turn, with nothing but words:   $bodkin
or look further:                     $bodkin help
END
