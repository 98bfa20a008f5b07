/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Burning range: NIOSH. Two thirds full: laboratory practice. Methanol: reference/README.md on
 * predicted volatilities. */
#include "answer/cautions.h"

void caution_running(show *s) {
    show_caution(s, "Fire: ethanol vapour burns between 3.3 and 19 %% in air and is heavier than "
                    "air. No flame or spark near; air the room.");
    show_caution(s, "Never close a boiler: the vapour's way to the open receiver stays free. Never "
                    "leave a running still alone.");
    show_caution(s,
                 "Fill to the mark at the most; about two thirds where it foams. A hot boiler is "
                 "heavy and scalds: let it cool.");
    show_caution(s, "No figure here shows that a spirit may be drunk; setting the first runnings "
                    "aside does not remove methanol.");
    show_caution(s, "Most countries require a licence to distil: ask your own authority.");
}
