/* blend: any amounts mixed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "args.h"
#include "command.h"
#include "phrases.h"
#include "say.h"
#include "show.h"

int command_blend(int argc, const char **argv) {
    (void)argc;
    (void)argv;
    return 0;
}
