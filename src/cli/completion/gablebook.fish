# fish completion of gablebook: the program itself tells how the word goes on (gablebook complete).
# SPDX-License-Identifier: GPL-3.0-or-later
function __gablebook_words
    set -l typed (commandline -opc) (commandline -ct)
    for line in (gablebook complete -- $typed[2..-1] 2>/dev/null)
        switch $line
            case :dirs
                __fish_complete_directories (commandline -ct)
            case :files
                __fish_complete_path (commandline -ct)
            case '*'
                echo $line
        end
    end
end
complete -c gablebook -f -a '(__gablebook_words)'
