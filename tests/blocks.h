/* How many blocks of memory are in use: a test that leaves more behind each time it runs leaks.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BLOCKS_H
#define JARLINE_BLOCKS_H

/* 0 where another counts them: a sanitizer, or no GNU libc. */
long blocks_in_use(void);

#endif
