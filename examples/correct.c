/* A reading of 72.5 at 24 °C, as strength at 20 °C:
 *   gcc correct.c $(pkg-config --cflags --libs jarline) -o correct */
#include <jarline.h>
#include <stdio.h>

int main(void) {
    jl_alcoholometer instrument = JL_ALCOHOLOMETER; /* right at 20 °C */
    jl_quantity reading = {72.5, JL_UNIT_PCT_VOL};
    double mass_fraction, strength_pct;
    if (jl_reading_to_mass_fraction(&instrument, reading, 24, &mass_fraction) != JL_OK) return 1;
    if (jl_strength_pct(mass_fraction, JL_STRENGTH_C, &strength_pct) != JL_OK) return 1;
    return printf("%.2f %% vol at 20 °C\n", strength_pct) < 0;
}
