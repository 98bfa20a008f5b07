/* What is checked against what, and how close. One row a quantity of a file of reference/.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reference/README.md has each source in full, how sure its figures are, and why this tolerance. */
#include "selfcheck.h"

/* clang-format off */
const check CHECKS[] = {
    {.file = "oiml-r22", .quantity = "density", .source = "OIML R 22 (1975), coefficients",
     .tolerance = 1e-8, .unit = "kg/m³", .run = check_oiml_coefficients},
    {.file = "oiml-r22-points", .quantity = "density", .source = "OIML R 22 (1975), printed values",
     .tolerance = 0.005, .unit = "kg/m³", .run = check_oiml_points},
    {.file = "density-lange", .quantity = "density", .source = "Lange's Handbook, 10th edition",
     .tolerance = 0.10, .unit = "kg/m³", .run = check_lange},
    {.file = "usp29-by-mass", .quantity = "volume %", .source = "USP 29",
     .tolerance = 0.008, .unit = "% vol", .run = check_usp29_volume},
    {.file = "usp29-by-mass", .quantity = "in air", .source = "USP 29",
     .tolerance = 9e-5, .unit = "", .run = check_usp29_density},
    {.file = "us-gauging-examples", .quantity = "see its row", .source = "27 CFR 30 and 21.161",
     .tolerance = 1, .unit = "of its own", .run = check_us_gauging},
    {.file = "dilution-to-1l", .quantity = "both parts", .source = "State Pharmacopoeia XI",
     .tolerance = 0.6, .unit = "ml", .run = check_dilution_1l},
    {.file = "dilution-to-1000g", .quantity = "both parts", .source = "State Pharmacopoeia XI",
     .tolerance = 0.6, .unit = "g", .run = check_dilution_1000g},
    {.file = "dilution-per-100-60f", .quantity = "water", .source = "US gauging tables, a reprint",
     .tolerance = 0.6, .unit = "% of it", .run = check_dilution_60f},
    {.file = "water-density-iapws95", .quantity = "density", .source = "IAPWS-95, 101.325 kPa",
     .tolerance = 0.002, .unit = "kg/m³", .run = check_water_density},
    {.file = "flash-point", .quantity = "flash point", .source = "quoted second-hand",
     .tolerance = 1e-9, .unit = "°C", .run = check_flash_point},
};
/* clang-format on */

const size_t CHECKS_COUNT = sizeof CHECKS / sizeof CHECKS[0];
