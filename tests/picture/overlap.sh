#!/bin/sh
# Says which words of a PDF stand on one another, and how many were looked at.
#
# SPDX-License-Identifier: GPL-3.0-or-later
pdftotext -bbox "$1" - |
    sed -nE 's/.*<word xMin="([0-9.]+)" yMin="([0-9.]+)" xMax="([0-9.]+)" yMax="([0-9.]+)">(.*)<\/word>.*/\1 \2 \3 \4 \5/p' |
    awk '{ n++; left[n] = $1; top[n] = $2; right[n] = $3; bottom[n] = $4; word[n] = $5 }
        END {
            hair = 0.4
            for (i = 1; i <= n; i++)
                for (j = 1; j < i; j++)
                    if (left[i] < right[j] - hair && left[j] < right[i] - hair &&
                        top[i] < bottom[j] - hair && top[j] < bottom[i] - hair)
                        print word[j], "stands on", word[i]
            print (n > 20 ? "looked at" : "hardly any words")
        }'
