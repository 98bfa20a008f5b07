/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/exit_status.h"

static int exit_of(jl_status status, int when_text_is_wrong) {
    static const int OWN[] = {
        [JL_NO] = EXIT_NO, [JL_INPUT] = EXIT_INPUT, [JL_EXISTS] = EXIT_CREATE,
        [JL_IO] = EXIT_IO, [JL_BUSY] = EXIT_BUSY,   [JL_MEMORY] = EXIT_MEMORY,
        [JL_NUMERIC] = 0,
    };
    if (status == JL_OK || status == JL_END) return EXIT_DONE;
    return OWN[status] != 0 ? OWN[status] : when_text_is_wrong;
}

int exit_of_argument(jl_status status) {
    return exit_of(status, EXIT_USAGE);
}

int exit_of_file(jl_status status) {
    return exit_of(status, EXIT_DATA);
}
