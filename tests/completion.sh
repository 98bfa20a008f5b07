#!/bin/bash
# What bash offers while a call is typed: completion.sh COMPLETION FOLDER_OF_JARLINE
#
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
completion=$(realpath "$1")
PATH=$(realpath "$2"):$PATH
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch"
printf '#jarline,1\n#kind,run\nvolume_l,strength_pct\n' >spirit.csv
printf 'volume_l;strength_pct\n0,5;70\n' >strip.csv
printf '#jarline,1\n#kind,settings\nstages,1\n' >still.csv
printf 'stages,2\n' >storage.csv
printf '#jarline,1\n#kind,wash\ntime,gravity\n' >sour.csv
printf 'anything,else\n' >stuff.csv
touch still.txt
mkdir season
set +eu # which neither bash-completion nor what it calls is written for
. /usr/share/bash-completion/bash_completion
. "$completion"
failed=false

# offers LINE WANTED: at the end of the line as typed, these words and no others.
offers() {
    local wanted=$2 got
    read -ra COMP_WORDS <<<"$1"
    [[ $1 == *' ' ]] && COMP_WORDS+=('')
    # As readline splits: "=" is a word of its own.
    if [[ ${COMP_WORDS[-1]} == *=* ]]; then
        local last=${COMP_WORDS[-1]}
        unset 'COMP_WORDS[-1]'
        COMP_WORDS+=("${last%%=*}" = "${last#*=}")
    fi
    COMP_CWORD=$((${#COMP_WORDS[@]} - 1)) COMP_LINE=$1 COMP_POINT=${#1} COMP_TYPE=9 COMPREPLY=()
    _jarline
    got=$(printf '%s\n' "${COMPREPLY[@]}" | sort | paste -sd ' ')
    [[ $got == "$wanted" ]] && return
    printf "completion of '%s': offered '%s', wanted '%s'\n" "$1" "$got" "$wanted"
    failed=true
}
compopt() { :; }

jarline book house.csv vessel jug 5L glass >made 2>&1
jarline book house.csv vessel jar-2 5L glass >made 2>&1
jarline book house.csv opening jug 4L@40% >made 2>&1
jarline book house.csv bottled jug 2x700mL --lot 2026-1 >made 2>&1

offers 'jarline c' 'calibrate card charge chart correct cut'
offers 'jarline --v' '--version'
offers 'jarline help sp' 'spirit'
offers 'jarline tally ' 'season/ spirit.csv strip.csv'
offers 'jarline tally --tot' '--totals'
offers 'jarline tally --totals s' 'season/ spirit.csv strip.csv'
offers 'jarline tally --ben' '--bench='
offers 'jarline tally --bench st' 'still.csv storage.csv'
offers 'jarline tally --bench=st' 'still.csv storage.csv'
offers 'jarline start new.csv --still ' 'season/ still.csv storage.csv'
offers 'jarline record s' 'season/ sour.csv spirit.csv strip.csv'
offers 'jarline record spirit.csv --fraction h' 'heads hearts'
offers 'jarline wash so' 'sour.csv'
offers 'jarline chart spirit.csv -o st' 'still.csv still.txt storage.csv strip.csv stuff.csv'
offers 'jarline chart --paper=' 'a4 a5 letter'
offers 'jarline chart --paper l' 'letter'
offers 'jarline correct --alcoholometer-scale=' '15C 20C 60F'
offers 'jarline card ' 'boil correction dilution head'
offers 'jarline card --to ' ''
offers 'jarline correct ' ''
offers 'jarline distill ' ''
offers 'jarline selfcheck density-l' 'density-lange'
offers 'jarline blend sp' 'spirit.csv:'
offers 'jarline blend 1L@40% spirit.csv:he' 'heads hearts'
offers 'jarline dilute house.csv:j' 'jar-2 jug'
offers 'jarline label s' 'season/ spirit.csv strip.csv'
offers 'jarline label h' 'house.csv:'
offers 'jarline label house.csv:' 'lot:'
offers 'jarline label house.csv:lot:2' '2026-1'
offers 'jarline stock ' 'house.csv season/'
offers 'jarline book house.csv re' 'received removed'
offers 'jarline book house.csv moved ju' 'jug'
offers 'jarline book house.csv moved jug all --into=j' 'jar-2 jug'
offers 'jarline book house.csv collected spirit.csv:t' 'tails'
offers 'jarline book house.csv charged --run s' 'season/ spirit.csv strip.csv'
offers 'jarline account house.csv s' 'season/ spirit.csv strip.csv'
offers 'jarline account --unit ' 'L proof-gallons'
offers 'jarline bench --set pow' 'power_w='
# Every option of every command, and nothing besides.
for command in $(jarline --help | sed -n 's/^.\{16\}\([a-z][a-z]*\) .*/\1/p'); do
    offers "jarline $command --" "$(jarline "$command" --help | awk '
        /^      --/ { print $1 } /^  -[a-zA-Z], --/ { print $2 }' | sed 's/=.*/=/' | sort | paste -sd ' ')"
done
# Every option that takes a file, or an amount out of one: files of its kind.
for command in $(jarline --help | sed -n 's/^.\{16\}\([a-z][a-z]*\) .*/\1/p'); do
    jarline "$command" --help | sed -nE "s/^  (-[a-zA-Z], |    )(--[a-z-]*)=([^ ]*).*/$command \2 \3/p"
done >"$scratch/options"
options=0
while read -r command option what; do
    case $what in
    FILE) [[ $option == --output ]] && wanted=$(ls -d -- *| sed 's|^season$|season/|' | paste -sd ' ') ||
        wanted='season/ still.csv storage.csv' ;;
    RUN.csv) wanted='season/ spirit.csv strip.csv' ;;
    AMOUNT | CHARGE) wanted='house.csv: season/ spirit.csv: strip.csv:' ;;
    *) continue ;;
    esac
    offers "jarline $command $option " "$wanted"
    options=$((options + 1))
done <"$scratch/options"
if [ $options -lt 30 ]; then
    printf '%s options take a file, expected some 40\n' $options
    failed=true
fi
! $failed
