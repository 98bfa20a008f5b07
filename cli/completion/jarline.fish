# Completion for fish: what may stand next, as the command itself says.
#
# SPDX-License-Identifier: GPL-3.0-or-later

function __jarline_next
    set -l words (commandline -opc)
    $words[1] --complete $words[2..] (commandline -ct) 2>/dev/null
end
complete -c jarline -f -a '(__jarline_next)'
