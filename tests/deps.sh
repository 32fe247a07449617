#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Looks for the packages that building (and testing) needs, and installs what
# is missing by apt-get.
#
#   deps.sh build|test [no]     "no": name what is missing, install nothing
#
# To add a package: a row  NAME  HOW-TO-SEE-THAT-IT-IS-THERE.

set -u
what=${1:-build}
install=${2:-yes}

missing=
need() {
	package=$1
	shift
	"$@" >/dev/null 2>&1 || missing="$missing $package"
}
there() { command -v "$1"; }
library() { command -v pkg-config && pkg-config --exists "$1"; }

need gcc there gcc
need make there make
need pkg-config there pkg-config
need libc6-dev sh -c 'echo "#include <stdio.h>" | gcc -E -'
need libsqlite3-dev library sqlite3
need libyaml-dev library yaml-0.1
need libreadline-dev library readline
need libutf8proc-dev library libutf8proc
need libcairo2-dev library cairo-pdf
need libpango1.0-dev library pangocairo
need fonts-dejavu-core sh -c 'fc-list | grep -q DejaVuSans'
if [ "$what" = test ]; then
	need check library check
	need clang there clang
	need glpk-utils there glpsol
	need jq there jq
	need mandoc there mandoc
	need tmux there tmux
	need units there units
	need chromium there chromium
	need nodejs there node
	need npm there npm
	need poppler-utils there pdftotext
	need qpdf there qpdf
	need python3-jsonschema /usr/bin/python3 -c 'import jsonschema'
fi

# What is no package of the system: the checker of web pages, by its lock file.
# Without it the tests leave its part out and say so.
fetch_checker() {
	[ "$what" = test ] && [ "$install" != no ] || return 0
	[ -f tests/browser/node_modules/axe-core/axe.min.js ] && return 0
	(cd tests/browser && npm ci --ignore-scripts >/dev/null 2>&1) ||
	    echo "axe-core could not be fetched by npm; the tests do without it."
}

if [ -z "$missing" ]; then
	fetch_checker
	exit 0
fi
echo "Missing packages:$missing"
if [ "$install" = no ]; then
	echo "DEPS=no: nothing is installed; what needs them may fail."
	exit 0
fi
if ! command -v apt-get >/dev/null 2>&1; then
	cat >&2 <<-END
	There is no apt-get here, so nothing was installed. Install what your system
	calls these packages, then repeat with DEPS=no:
	  $missing
	END
	exit 2
fi
sudo=
if [ "$(id -u)" -ne 0 ]; then
	if ! command -v sudo >/dev/null 2>&1; then
		echo "You are not root and there is no sudo. As root, run:" >&2
		echo "  apt-get install$missing" >&2
		exit 2
	fi
	sudo=sudo
	echo "Installing them with sudo apt-get; it may ask for your password."
else
	echo "Installing them with apt-get."
fi
export DEBIAN_FRONTEND=noninteractive
log=$(mktemp)
trap 'rm -f "$log"' EXIT
# The package lists may be old or empty: fetch them once if the first try fails.
# shellcheck disable=SC2086
if ! $sudo apt-get install -y --no-install-recommends $missing >"$log" 2>&1; then
	$sudo apt-get update >>"$log" 2>&1
	if ! $sudo apt-get install -y --no-install-recommends $missing >>"$log" 2>&1; then
		tail -n 15 "$log" >&2
		echo "apt-get could not install:$missing" >&2
		echo "Install them yourself, then repeat with DEPS=no." >&2
		exit 2
	fi
fi
echo "Installed."
fetch_checker
