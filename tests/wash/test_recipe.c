/* What goes into a wash, as people write it, and what it comes to.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"

static jl_ingredient read(const char *text) {
    jl_ingredient in = {.mass_kg = NAN};
    CHECK_OK(jl_ingredient_read(text, strlen(text), &in));
    return in;
}

static jl_status refused(const char *text) {
    jl_ingredient in = {.mass_kg = 7};
    jl_status status = jl_ingredient_read(text, strlen(text), &in);
    CHECK(in.mass_kg == 7 && in.name[0] == '\0');
    return status;
}

static void ingredients_are_read_as_written(void) {
    jl_ingredient in = read("6kg sugar");
    CHECK(strcmp(in.name, "sugar") == 0 && in.sugar == JL_SUCROSE && !in.stated);
    CHECK_NEAR(in.sugar_kg, 6, 1e-12);
    in = read("  500 g Sugar ");
    CHECK_NEAR(in.sugar_kg, 0.5, 1e-12);
    in = read("4kg molasses 55%");
    CHECK(in.stated);
    CHECK_NEAR(in.sugar_kg, 2.2, 1e-12);
    CHECK_NEAR(in.solids_kg, 1.0, 1e-12); /* 80 % of it dissolves */
    in = read("3L juice 12P");
    CHECK_NEAR(in.mass_kg, 3 * 0.9982 * 1.0484, 0.001); /* 12 °P is 1.0484 */
    CHECK_NEAR(in.sugar_kg, 0.9 * 0.12 * in.mass_kg, 1e-4);
    in = read("3L apple juice 1.048");
    CHECK(strcmp(in.name, "apple juice") == 0);
    in = read("2kg\tbrown sugar\t95% ");
    CHECK(strcmp(in.name, "brown sugar") == 0 && in.stated);
    CHECK_NEAR(in.sugar_kg, 1.9, 1e-12);
    in = read("40L water");
    CHECK(in.sugar_kg == 0 && in.solids_kg == 0);
    CHECK_NEAR(in.mass_kg, 39.93, 0.005);
    in = read("1kg dextrose");
    CHECK_NEAR(in.sugar_kg, 0.9091, 0.0001); /* one molecule of water in it */
}

static void what_says_too_little_is_refused(void) {
    CHECK(refused("4kg molasses") == JL_MISSING);
    CHECK(refused("3L juice") == JL_MISSING);
    CHECK(refused("3L juice 12%") == JL_MISSING); /* its mass is not known */
    CHECK(refused("6kg") == JL_MISSING);
    CHECK(refused("") == JL_MISSING);
    CHECK(refused("sugar") == JL_FORM);
    CHECK(refused("6 sugar") == JL_FORM);
    CHECK(refused("0kg sugar") == JL_RANGE);
    CHECK(refused("40L water 5%") == JL_CONFLICT);
    CHECK(refused("6kg a b c d e f g") == JL_FORM);
    CHECK(refused("2kg brown sugar") == JL_MISSING);   /* a name of its own */
    CHECK(refused("4kg molasses 0.55") == JL_MISSING); /* no share without its %, and no gravity */
    CHECK(refused("3L juice 0.5P5") == JL_MISSING);
    CHECK(refused("4kg molasses 120%") == JL_MISSING);
    CHECK(refused("3L juice 0.990") == JL_RANGE);
    CHECK(refused("2000000000kg sugar") == JL_FORM);
    CHECK(refused("6kg abcdefghijklmnopqrstuvwxyzabcdef") == JL_FORM);
    CHECK(refused("6kg abcdefghijklmnopqrst abcdefghijklmnopqrst 50%") == JL_TOO_LONG);
    jl_ingredient in = {.mass_kg = 7};
    CHECK_STATUS(jl_ingredient_read("6kg\0sugar", 9, &in), JL_FORM);
    CHECK(in.mass_kg == 7);
}

static void one_sugar_is_as_wash_from_sugar_has_it(void) {
    jl_ingredient in = read("6kg sugar");
    jl_sugared sugared = {0};
    jl_recipe r = {0};
    CHECK_OK(jl_wash_from_sugar(JL_SUCROSE, 6, 25, 0.92, &sugared));
    CHECK_OK(jl_recipe_of(&in, 1, 25, &r));
    CHECK_NEAR(r.strength_pct, sugared.strength_pct, 1e-9);
    CHECK_NEAR(r.original_sg, sugared.original_sg, 1e-9);
    CHECK_NEAR(r.expected_final_sg, 1, 5e-5);
    CHECK(r.expected_final_u_sg == 0);
    CHECK_NEAR(r.strength_u_pct, sugared.strength_pct * sqrt((0.05 * 0.05 + 0.01 * 0.01) / 3),
               1e-9);
}

static void a_molasses_wash_stops_above_water(void) {
    jl_ingredient all[] = {read("4kg molasses 55%"), read("2kg sugar")};
    jl_recipe r = {0};
    double sugar_kg = NAN;
    CHECK_OK(jl_recipe_of(all, 2, 25, &r));
    /* 4.2 kg of sugar at 92 % of 0.5384 kg/kg, by hand; 1 kg in 25 l adds 0.0155. */
    CHECK_NEAR(r.pure_alcohol_l, 4.2 * 0.92 * 0.5384 / 0.78924, 0.001);
    CHECK_NEAR(r.expected_final_sg, 1.0155, 0.0003);
    CHECK_NEAR(r.expected_final_u_sg, 0.2 * (r.expected_final_sg - 1) / sqrt(3), 1e-12);
    CHECK_OK(jl_recipe_sugar_kg(all, 1, 25, r.strength_pct, &sugar_kg));
    CHECK_NEAR(sugar_kg, 2, 1e-9);
    CHECK_OK(jl_recipe_sugar_kg(all, 2, 25, 5, &sugar_kg));
    CHECK(sugar_kg == 0);
}

static void what_went_in_says_what_kind_it_is(void) {
    const jl_ingredient all[] = {read("2kg sugar"), read("1kg honey"), read("3kg extract"),
                                 read("20L water")};
    static const struct {
        size_t first, count;
        jl_wash_kind kind;
    } AT[] = {{0, 2, JL_KIND_SUGAR}, {0, 3, JL_KIND_UNSTATED}, {2, 2, JL_KIND_MALT}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_recipe r = {0};
        CHECK_OK(jl_recipe_of(all + AT[i].first, AT[i].count, 25, &r));
        CHECK(r.kind == AT[i].kind);
        double malt_u_sg = 0.03 * (r.original_sg - r.expected_final_sg) / sqrt(3);
        CHECK(r.kind != JL_KIND_MALT || fabs(r.expected_final_u_sg - malt_u_sg) < 1e-12);
    }
}

static void a_solution_has_its_own_volume(void) {
    jl_ingredient all[] = {read("1kg sugar"), read("4kg water")};
    jl_recipe r = {0};
    CHECK_OK(jl_recipe_of(all, 2, NAN, &r));
    CHECK_NEAR(r.volume_l, 5 / (1.0830 * 0.9982), 0.002); /* 20 °P is 1.0830 */
}

static void what_is_none_or_too_much_is_refused(void) {
    jl_ingredient water = read("40L water"), sugar = read("30kg sugar");
    jl_recipe r = {.volume_l = 7};
    double sugar_kg = 7;
    CHECK_STATUS(jl_recipe_of(&water, 1, 40, &r), JL_MISSING);
    CHECK_STATUS(jl_recipe_of(&sugar, 0, 40, &r), JL_MISSING);
    CHECK_STATUS(jl_recipe_of(&sugar, 1, 40, &r), JL_NO);
    CHECK_STATUS(jl_recipe_of(&sugar, 1, NAN, &r), JL_NO);
    CHECK_STATUS(jl_recipe_of(&sugar, 1, -1, &r), JL_RANGE);
    CHECK_STATUS(jl_recipe_of(&sugar, 1, 2e9, &r), JL_RANGE);
    jl_ingredient much = sugar;
    much.sugar_kg = 1e8; /* in as many litres as are taken, and in a hair more */
    jl_recipe most = {0};
    CHECK_OK(jl_recipe_of(&much, 1, 1e9, &most));
    CHECK(most.volume_l == 1e9);
    CHECK_STATUS(jl_recipe_of(&much, 1, 1.001e9, &r), JL_RANGE);
    CHECK_STATUS(jl_recipe_sugar_kg(&sugar, 1, 2e9, 10, &sugar_kg), JL_RANGE);
    CHECK_STATUS(jl_recipe_sugar_kg(&sugar, 1, 40, 0, &sugar_kg), JL_RANGE);
    CHECK_STATUS(jl_recipe_sugar_kg(&sugar, 1, 40, NAN, &sugar_kg), JL_RANGE);
    CHECK_STATUS(jl_recipe_sugar_kg(&sugar, 1, 40, 31, &sugar_kg), JL_RANGE);
    CHECK_STATUS(jl_recipe_sugar_kg(&sugar, 1, NAN, 10, &sugar_kg), JL_RANGE);
    CHECK(r.volume_l == 7 && sugar_kg == 7);
}

CU_TestInfo recipe_tests[] = {
    {"ingredients are read as written", ingredients_are_read_as_written},
    {"what says too little is refused", what_says_too_little_is_refused},
    {"one sugar is as jl_wash_from_sugar has it", one_sugar_is_as_wash_from_sugar_has_it},
    {"a molasses wash stops above water", a_molasses_wash_stops_above_water},
    {"what went in says what kind it is", what_went_in_says_what_kind_it_is},
    {"a solution has its own volume", a_solution_has_its_own_volume},
    {"what is none or too much is refused", what_is_none_or_too_much_is_refused},
    CU_TEST_INFO_NULL,
};
