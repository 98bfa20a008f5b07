#!/bin/sh
# Says which words of a PDF's page stand on one another, and whether there were words to look at.
#
# SPDX-License-Identifier: GPL-3.0-or-later
pdftotext -bbox "$1" - |
    sed -nE 's/.*<page .*/page/p; s/.*<word xMin="([0-9.]+)" yMin="([0-9.]+)" xMax="([0-9.]+)" yMax="([0-9.]+)">(.*)<\/word>.*/\1 \2 \3 \4 \5/p' |
    awk '$1 == "page" { page++; next } { n++; on[n] = page; left[n] = $1; top[n] = $2; right[n] = $3; bottom[n] = $4; word[n] = $5 }
        # A character that no font has is a box with its number in two rows of two digits.
        function boxed(i, j) {
            return left[i] == left[j] && right[i] == right[j] &&
                word[i] word[j] ~ /^[0-9A-F][0-9A-F][0-9A-F][0-9A-F]$/
        }
        END {
            hair = 0.4
            for (i = 1; i <= n; i++)
                for (j = 1; j < i; j++)
                    if (on[i] == on[j] && left[i] < right[j] - hair && left[j] < right[i] - hair &&
                        top[i] < bottom[j] - hair && top[j] < bottom[i] - hair && !boxed(i, j))
                        print word[j], "stands on", word[i]
            print (n > 20 ? "looked at" : "hardly any words")
        }'
