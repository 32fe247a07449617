# SPDX-License-Identifier: GPL-3.0-or-later
#
# Completion of bodkin in fish. Commands and options come from the program when
# it is built; names are asked of it as they are needed, so they are those of the
# database in use.

# The words before the cursor that are neither options nor their arguments.
function __bodkin_operands
    set -l skip no
    for word in (commandline -opc)[2..-1]
        if test $skip = yes
            set skip no
        else if contains -- $word $__bodkin_takes
            set skip yes
        else if not string match -q -- '-*' $word
            echo $word
        end
    end
end

# COMMAND: is that the command? Empty: is none named yet?
function __bodkin_in
    set -l operands (__bodkin_operands)
    test "$operands[1]" = "$argv[1]"
end

# WHAT: names of that sort. An option's argument is a word by itself; of others
# the whole name counts.
function __bodkin_names
    set -l before (commandline -opc)
    set -l typed (__bodkin_operands)[2..-1]
    set -l current (commandline -ct)
    set -l kb
    if contains -- $before[-1] $__bodkin_takes; or string match -q -- '--*=*' $current
        set typed
    end
    for i in (seq 2 (count $before))
        switch $before[$i]
            case -k --kb
                set kb --kb $before[(math $i + 1)]
            case '--kb=*'
                set kb --kb (string replace -- --kb= '' $before[$i])
        end
    end
    set current (string replace -r -- '^--[^=]*=' '' $current | string unescape)
    eval (string escape -- $before[1]) (string escape -- $kb) help -d names $argv[1] -- (string escape -- $typed "$current") 2>/dev/null
end

complete -c bodkin -f
@tables@
