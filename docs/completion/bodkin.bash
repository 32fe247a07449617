# SPDX-License-Identifier: GPL-3.0-or-later
#
# Completion of bodkin in bash. Commands and options come from the program when
# it is built; names are asked of it as they are needed, so they are those of
# the database in use. Works with and without the package bash-completion.

@tables@
# The words up to the cursor into $typed, an option and its "=" as one again:
# bash parts them there.
_bodkin_words() {
	local i word glue=
	typed=()
	for ((i = 1; i <= COMP_CWORD; i++)); do
		word=${COMP_WORDS[i]}
		if [[ ${#typed[@]} -gt 0 && ($word == = || $glue) ]]; then
			typed[-1]+=$word
		else
			typed+=("$word")
		fi
		glue=
		[[ $word == = ]] && glue=yes
	done
}

# A word as typed, without its quotes and backslashes.
_bodkin_plain() {
	local word=$1
	case $word in
	\"*) word=${word#\"} word=${word%\"} ;;
	\'*) word=${word#\'} word=${word%\'} ;;
	*) word=${word//\\/} ;;
	esac
	plain=$word
}

# WHAT WORD...: what may stand for the last word
_bodkin_names() {
	local what=$1 name quote=
	shift
	case ${typed[-1]#--*=} in \"*|\'*) quote=yes ;; esac
	while IFS= read -r name; do
		[[ $quote ]] || printf -v name %q "$name"
		COMPREPLY+=("$name")
	done < <("$program" "${kb[@]}" help -d names "$what" -- "$@" 2>/dev/null)
}

_bodkin_among() {
	COMPREPLY+=($(compgen -W "$1" -- "$current"))
}

_bodkin_files() {
	local file
	compopt -o default 2>/dev/null ||
	    while IFS= read -r file; do COMPREPLY+=("$file"); done < <(compgen -f -- "$current")
}

# WHAT WORD...: dispatches on a word of _bodkin_follows or _bodkin_completes
_bodkin_offer() {
	local what=$1 list
	shift
	case $what in
	nothing) ;;
	files) _bodkin_files ;;
	commands) _bodkin_among "$_bodkin_commands" ;;
	stages)
		list=
		[[ $current == *,* ]] && list=${current%,*},
		current=${current#"$list"}
		_bodkin_among "$(_bodkin_stages "$command")"
		COMPREPLY=("${COMPREPLY[@]/#/$list}") ;;
	*) _bodkin_names "$what" "$@" ;;
	esac
}

_bodkin() {
	local program=${COMP_WORDS[0]/#\~/$HOME} command= current option= plain before= i
	local IFS=$' \t\n'
	local -a follows typed kb=() operands=()
	COMPREPLY=()
	_bodkin_words
	for ((i = 0; i < ${#typed[@]} - 1; i++)); do
		_bodkin_plain "${typed[i]}"
		case $plain in
		--kb=*) kb=(--kb "${plain#*=}") ;;
		--*=*) ;;
		-*)
			if _bodkin_follows "$plain" >/dev/null; then
				option=$plain
				((++i < ${#typed[@]} - 1)) || break
				[[ $option == -k || $option == --kb ]] &&
				    _bodkin_plain "${typed[i]}" && kb=(--kb "${plain/#\~/$HOME}")
				option=
			fi ;;
		*) if [[ $command ]]; then operands+=("$plain"); else command=$plain; fi ;;
		esac
	done
	_bodkin_plain "${typed[-1]}"
	current=$plain
	if [[ ! $option && $current == --*=* ]]; then
		option=${current%%=*}
		_bodkin_plain "${current#*=}"
		current=$plain
		[[ $COMP_WORDBREAKS == *=* ]] || before=$option=
	fi
	if [[ $option ]]; then
		follows=($(_bodkin_follows "$option")) || return
		if [[ ${follows[0]} == among ]]; then
			_bodkin_among "${follows[*]:1}"
		else
			_bodkin_offer "${follows[0]}" "$current"
		fi
		COMPREPLY=("${COMPREPLY[@]/#/$before}")
	elif [[ $current == -* ]]; then
		_bodkin_among "$(_bodkin_options "$command")"
	elif [[ ! $command ]]; then
		_bodkin_among "$_bodkin_commands"
	else
		follows=($(_bodkin_completes "$command"))
		[[ ${follows[0]} ]] || return
		_bodkin_offer "${follows[0]}" "${operands[@]}" "$current"
		[[ ${#follows[@]} -eq 1 ]] || _bodkin_among "${follows[*]:1}"
	fi
	[[ ${#COMPREPLY[@]} -eq 1 && ${COMPREPLY[0]} == *= ]] && compopt -o nospace 2>/dev/null
	return 0
}
complete -F _bodkin bodkin
