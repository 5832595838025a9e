# bash completion of gablebook: the program itself tells how the word goes on (gablebook complete).
# SPDX-License-Identifier: GPL-3.0-or-later
_gablebook() {
    local -a words=("${COMP_WORDS[@]:1:COMP_CWORD}")
    local line word quoted='' i
    case ${COMP_WORDS[COMP_CWORD]} in [\'\"]*) quoted=1 ;; esac
    for i in "${!words[@]}"; do # as typed, with quotes and backslashes
        word=${words[i]}
        word=${word//[\'\"\\]/}
        words[i]=$word
    done
    COMPREPLY=()
    while IFS= read -r line; do
        case $line in
        :dirs) compopt -o dirnames 2>/dev/null ;;
        :files) compopt -o default 2>/dev/null ;;
        *)
            word=${line%%$'\t'*}
            [ -n "$quoted" ] || printf -v word %q "$word"
            COMPREPLY+=("$word")
            ;;
        esac
    done < <(gablebook complete -- "${words[@]}" 2>/dev/null)
}
complete -F _gablebook gablebook
