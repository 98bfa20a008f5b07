/* The hearts of a run log, and the water that brings them to 40 % vol, by volume and as a scale
 * shows it:
 *   gcc hearts.c $(pkg-config --cflags --libs jarline) -o hearts && ./hearts spirit-october.csv */
#include <fcntl.h>
#include <jarline.h>
#include <stdio.h>

static const jl_quantity TARGET = {40, JL_UNIT_PCT_VOL};

static int print_water(jl_spirit hearts) {
    double target_mass_fraction;
    jl_spirit water;
    jl_status status = jl_strength_to_mass_fraction(TARGET, &target_mass_fraction);
    if (status == JL_OK) status = jl_bring_to(hearts, 0, target_mass_fraction, &water);
    if (status != JL_OK) return fprintf(stderr, "hearts: %s\n", jl_status_text(status)), 1;
    printf("Hearts  %.3f l at 20 °C of %.2f %% vol, pure alcohol %.3f l\n",
           jl_volume_l(hearts, JL_STRENGTH_C), jl_spirit_strength_pct(hearts),
           jl_pure_alcohol_l(hearts));
    return printf("Water   %.3f l, on a scale %.3f kg\n", jl_volume_l(water, JL_STRENGTH_C),
                  jl_scale_kg(water, JL_STRENGTH_C)) < 0;
}

int main(int argc, char **argv) {
    jl_run *run;
    jl_fault fault;
    jl_quiet();
    int fd = argc == 2 ? open(argv[1], O_RDONLY) : -1;
    if (fd < 0) return fprintf(stderr, "hearts: expected a run log that can be read\n"), 2;
    if (jl_run_read(fd, &run, &fault) != JL_OK)
        return fprintf(stderr, "%s:%zu: cell %zu: %s; expected %s\n", argv[1], fault.line,
                       fault.column, jl_status_text(fault.status),
                       fault.expected == NULL ? "another" : fault.expected),
               1;
    int failed = print_water(jl_tally_sum(jl_run_tally(run), JL_OF_HEARTS).spirit);
    jl_run_free(run);
    return failed;
}
