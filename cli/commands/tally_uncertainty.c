/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/tally_uncertainty.h"
#include "answer/say.h"
#include "input/logfile.h"

#include <math.h>
#include <stdlib.h>

/* Something measured, and where it belongs. */
typedef enum place { IN_HEARTS, IN_OTHERS, CHARGED, LEFT } place;
enum { PLACES = LEFT + 1 };

typedef struct part {
    measured_amount amount;
    jl_alcoholometer instrument;
    place place;
} part;

struct tally_uncertainty {
    uncertainty *uncertainty;
    part *parts;
    size_t count, room, logs, charged;
    bool hearts;
};

tally_uncertainty *tally_uncertainty_open(uncertainty *d) {
    if (d == NULL) return NULL;
    tally_uncertainty *t = need(calloc(1, sizeof *t));
    t->uncertainty = d;
    return t;
}

void tally_uncertainty_close(tally_uncertainty *t) {
    if (t == NULL) return;
    free(t->parts);
    free(t);
}

static void add(tally_uncertainty *t, jl_amount amount, const jl_alcoholometer *instrument,
                place where) {
    if (t->count == t->room) {
        t->room = t->room == 0 ? 32 : 2 * t->room;
        t->parts = need(realloc(t->parts, t->room * sizeof *t->parts));
    }
    t->parts[t->count++] = (part){uncertainty_amount(t->uncertainty, amount), *instrument, where};
}

void tally_uncertainty_jar(tally_uncertainty *t, const jl_jar *jar,
                           const jl_alcoholometer *instrument) {
    if (t == NULL) return;
    bool hearts = jar->fraction == JL_HEARTS;
    t->hearts = t->hearts || hearts;
    add(t, amount_of_jar(jar), instrument, hearts ? IN_HEARTS : IN_OTHERS);
}

static jl_amount amount_at_20(jl_spirit spirit) {
    return (jl_amount){.size = jl_volume_l(spirit, JL_STRENGTH_C),
                       .strength = {jl_spirit_strength_pct(spirit), JL_UNIT_PCT_VOL},
                       .temp_c = JL_STRENGTH_C};
}

void tally_uncertainty_log(tally_uncertainty *t, const jl_recovery *recovery) {
    if (t == NULL) return;
    t->logs++;
    if (!recovery->charge_stated) return;
    t->charged++;
    add(t, amount_at_20(recovery->charge), &JL_ALCOHOLOMETER, CHARGED);
    if (recovery->left_stated && jl_mass_kg(recovery->left) > 0)
        add(t, amount_at_20(recovery->left), &JL_ALCOHOLOMETER, LEFT);
}

/* A weak rest may be read as less than nothing: it then holds no alcohol. */
static jl_status part_at(const part *p, const double *x, jl_spirit *spirit) {
    if (p->place != LEFT || measured_at(&p->amount.strength, x) >= 0)
        return measured_amount_at(&p->amount, &p->instrument, x, spirit);
    return jl_spirit_from_volume(measured_at(&p->amount.size, x), 0, JL_STRENGTH_C, spirit);
}

enum { TOTAL_L, TOTAL_PCT, TOTAL_PURE_L, MOST = 8 };

static size_t fill(const tally_uncertainty *t, const jl_spirit *sums, double *figures) {
    jl_spirit all = jl_blend(sums[IN_HEARTS], sums[IN_OTHERS]);
    size_t n = 0;
    figures[n++] = jl_volume_l(all, JL_STRENGTH_C);
    figures[n++] = jl_spirit_strength_pct(all);
    figures[n++] = jl_pure_alcohol_l(all);
    if (t->hearts) {
        figures[n++] = jl_volume_l(sums[IN_HEARTS], JL_STRENGTH_C);
        figures[n++] = jl_spirit_strength_pct(sums[IN_HEARTS]);
        figures[n++] = jl_pure_alcohol_l(sums[IN_HEARTS]);
    }
    if (t->charged == 0 || t->charged < t->logs) return n;
    double charged_l = jl_pure_alcohol_l(sums[CHARGED]), all_l = jl_pure_alcohol_l(all);
    figures[n++] = 100 * all_l / charged_l;
    figures[n++] = charged_l - all_l - jl_pure_alcohol_l(sums[LEFT]);
    return n;
}

static jl_status totals(const double *x, double *figures, void *with) {
    const tally_uncertainty *t = with;
    jl_spirit sums[PLACES] = {0};
    for (size_t i = 0; i < t->count; i++) {
        jl_spirit spirit;
        jl_status status = part_at(&t->parts[i], x, &spirit);
        if (status != JL_OK) return status;
        sums[t->parts[i].place] = jl_blend(sums[t->parts[i].place], spirit);
    }
    fill(t, sums, figures);
    return JL_OK;
}

int tally_uncertainty_show(tally_uncertainty *t, show *s) {
    static const figure TOTAL[] = {{"volume_l", "All jars at 20 °C", "volume", "l"},
                                   {"strength_pct", "their strength", "strength", "% vol"},
                                   {"pure_alcohol_l", "their pure alcohol", "pure alc.", "l"}};
    static const figure HEARTS[] = {
        {"hearts_l", "Hearts at 20 °C", "hearts", "l"},
        {"hearts_pct", "their strength", "of hearts", "% vol"},
        {"hearts_pure_alcohol_l", "their pure alcohol", "hearts alc.", "l"}};
    static const figure RECOVERY[] = {{"recovery_pct", "Recovered", "recovered", "%"},
                                      {"missing_l", "Missing pure alcohol", "missing", "l"}};
    figure figures[MOST];
    size_t n = 0;
    if (t == NULL) return 0;
    for (size_t i = 0; i < 3; i++) figures[n++] = TOTAL[i];
    for (size_t i = 0; i < 3 && t->hearts; i++) figures[n++] = HEARTS[i];
    bool recovery = t->charged > 0 && t->charged == t->logs;
    for (size_t i = 0; i < 2 && recovery; i++) figures[n++] = RECOVERY[i];
    return uncertainty_show(s, t->uncertainty, totals, t, figures, n);
}
