/* chart: a run as a picture.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart.h"
#include "answer/say.h"
#include "command.h"
#include "input/logfile.h"
#include "input/part.h"
#include "input/planned.h"
#include "picture/html.h"
#include "picture/paper.h"
#include "picture/svg.h"
#include "text/letters.h"

#include <libgen.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- A file that others write ---- */

/* Reads the file and does what follows from it. Sets *over when there is nothing more to follow.
 * Returns the exit status, or 0 to go on. */
typedef int follow_changed(void *with, bool *over);

/* What a file looks like from outside: another when it was written. */
typedef struct looks {
    ino_t inode;
    off_t size;
    struct timespec written;
} looks;

/* False: it is not there, as for a moment while an editor replaces it. */
static bool look_at(const char *path, looks *of) {
    struct stat s;
    if (stat(path, &s) != 0) return false;
    *of = (looks){s.st_ino, s.st_size, s.st_mtim};
    return true;
}

static bool alike(const looks *a, const looks *b) {
    return a->inode == b->inode && a->size == b->size && a->written.tv_sec == b->written.tv_sec &&
           a->written.tv_nsec == b->written.tv_nsec;
}

static double now_s(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Watches the folder: a file that is replaced is another one. */
static int watch_folder_of(const char *path) {
    char *copy = need(strdup(path));
    int fd = inotify_init1(IN_CLOEXEC | IN_NONBLOCK);
    if (fd >= 0 &&
        inotify_add_watch(fd, dirname(copy), IN_MODIFY | IN_CLOSE_WRITE | IN_MOVED_TO) < 0) {
        close(fd);
        fd = -1;
    }
    free(copy);
    return fd;
}

/* Until something in the folder was written, or for a while: a folder over a network says nothing. */
static void wait_for(int watch, double most_s) {
    const double LOOK_S = 2;
    char events[4096];
    struct pollfd on = {.fd = watch, .events = POLLIN};
    poll(&on, watch >= 0, (int)ceil(1000 * fmin(fmax(most_s, 0), LOOK_S)));
    while (watch >= 0 && read(watch, events, sizeof events) > 0) continue;
}

/* Calls changed, and again each time the file was written, until it is over, fails, or so many hours
 * have passed. Returns the exit status, or 0. */
static int follow_file(const char *path, double hours, follow_changed *changed, void *with) {
    double end_s = now_s() + 3600 * hours;
    int watch = watch_folder_of(path), bad = EXIT_DONE;
    bool over = false;
    looks last = {0}, seen;
    while (bad == EXIT_DONE && !over && now_s() < end_s) {
        if (look_at(path, &seen) && !alike(&seen, &last)) {
            last = seen; /* before it is read: what is written meanwhile is new */
            bad = changed(with, &over);
        } else
            wait_for(watch, end_s - now_s());
    }
    if (watch >= 0) close(watch);
    return bad;
}

/* ---- The chart ---- */

enum { PICTURES = 1 << PAPER_SVG | 1 << PAPER_PNG | 1 << PAPER_PDF };

/* What the picture is asked for. */
typedef struct chart_options {
    paper_options paper;
    paper_format format;  /* by the name of its file */
    char *width;          /* of a PNG, in pixels */
    double pixels_across; /* read from it */
    char *volume_to;      /* where the axes of volume end */
    double volume_l;      /* read from it; 0: the house's, or as round as the runs ask for */
    double house_l;       /* the bench file's; NaN: none */
    int together;         /* in one panel */
    char *over;           /* of what in it */
    compare_over compare_over;
    int forecast;
    int follow; /* the log while it is written */
    char *hours;
    int json;
} chart_options;

static double volume_end(const chart_options *o, const run_picture *runs, size_t count) {
    return o->volume_l > 0 ? o->volume_l : chart_end_of_house(o->house_l, runs, count);
}

/* How the runs are laid out on sheets. */
typedef struct chart_layout {
    double width, height, margin, em;
    size_t across, down, on_sheet;
} chart_layout;

static const double TYPE = 12;

/* Upright pages would leave the panels narrow. */
static chart_layout on_pages(double width, double height, size_t panels) {
    chart_layout l = {width, height, fmin(36, 0.043 * width), fmin(TYPE, width / 64), 1, 1, 1};
    if (panels < 2) return l;
    double inside = width - 2 * l.margin;
    l.on_sheet = chart_on_page(inside, height - 2 * l.margin, panels, &l.across);
    l.down = chart_down(l.on_sheet, l.across);
    l.em = fmin(TYPE, TYPE * inside / (CHART_SMALL_W * (double)l.across));
    return l;
}

/* Few pixels leave the type its size and make the sheet narrower. */
static chart_layout in_pixels(double pixels_across, size_t panels) {
    enum { NARROWEST = 320 };
    chart_layout l = {.margin = 16, .em = TYPE, .across = chart_across(panels), .on_sheet = panels};
    size_t beside = (size_t)fmax(1, pixels_across / CHART_SMALL_W);
    if (panels > 1 && pixels_across > 0 && beside < l.across) l.across = beside;
    l.down = chart_down(panels, l.across);
    chart_sheet_size(panels, l.across, &l.width, &l.height);
    if (panels == 1 && pixels_across > 0) l.width = fmax(NARROWEST, fmin(l.width, pixels_across));
    return l;
}

static int lay_out(const chart_options *o, size_t count, chart_layout *l) {
    double long_side, short_side;
    size_t panels = o->together ? 1 : count;
    int bad = paper_size(&o->paper, &short_side, &long_side);
    *l = o->format == PAPER_PDF ? on_pages(long_side, short_side, panels)
                                : in_pixels(o->pixels_across, panels);
    return bad;
}

static void draw_sheet(const chart_options *o, const chart_layout *l, const run_picture *runs,
                       size_t count, double volume_l, sheet *s) {
    if (o->together)
        compare_sheet(runs, count, o->compare_over, volume_l, l->width, l->height, l->margin, s);
    else
        chart_sheet(runs, count, l->down, l->across, volume_l, l->width, l->height, l->margin,
                    l->em, s);
    s->pixels_across = o->pixels_across;
}

static int draw(const chart_options *o, const run_picture *runs, size_t count) {
    enum { SHEETS_MOST = CHART_RUNS_MOST };
    chart_layout l;
    sheet sheets[SHEETS_MOST];
    double volume_l = volume_end(o, runs, count);
    size_t n = 0;
    int bad = lay_out(o, count, &l);
    if (bad != 0) return bad;
    if (o->together) l.on_sheet = count;
    for (size_t at = 0; at < count; at += l.on_sheet, n++)
        draw_sheet(o, &l, runs + at, at + l.on_sheet < count ? l.on_sheet : count - at, volume_l,
                   &sheets[n]);
    bad = paper_make(&o->paper, sheets, n, o->format, runs[0].title);
    while (n > 0) sheet_free(&sheets[--n]);
    return bad;
}

/* ---- For programs: what the picture shows, a row each; run: its number, from 1 ---- */

static void show_run_row(show *s, const run_picture *r, size_t number) {
    const jl_spirit all = picture_collected(r), hearts = picture_hearts(r);
    show_cells(s,
               CELLS(V((double)number), V(r->title), V(r->started), V(r->forecast), V(r->charge_l),
                     V(r->charge_strength_pct), V(r->charge_pure_l), V((double)r->count),
                     V(jl_volume_l(all, JL_STRENGTH_C)), V(jl_spirit_strength_pct(all)),
                     V(picture_pure_l(r)), V(100 * picture_pure_l(r) / r->charge_pure_l),
                     V(jl_volume_l(hearts, JL_STRENGTH_C)), V(jl_spirit_strength_pct(hearts))));
}

static void show_runs(show *s, const run_picture *runs, size_t count) {
    static const column COLUMNS[] = {
        {"run", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"title", NULL, "", 0, 0, COLUMN_WORDS},
        {"started", NULL, "", 0, 0, COLUMN_WORDS},
        {"is_forecast", NULL, "", 0, 0, COLUMN_WORDS},
        {"charge_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"charge_strength_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"charge_pure_alcohol_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"jars_count", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"volume_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"strength_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"pure_alcohol_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"recovery_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"hearts_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"hearts_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
    };
    show_table(s, "runs", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < count; i++) show_run_row(s, &runs[i], i + 1);
}

static void show_jars(show *s, const run_picture *runs, size_t count) {
    static const column COLUMNS[] = {
        {"run", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"jar", NULL, "", 0, 0, COLUMN_WORDS},
        {"fraction", NULL, "", 0, 0, COLUMN_WORDS},
        {"end_l", NULL, "", 0, 0, COLUMN_NUMBERS}, /* its end on the axis: jar beside jar */
        {"strength_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"cumulative_pure_alcohol_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"head_c", NULL, "", 0, 0, COLUMN_NUMBERS},
    };
    show_table(s, "jars", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t k = 0; k < count; k++)
        for (size_t i = 0; i < runs[k].count; i++) {
            const jl_jar *jar = &runs[k].jars[i];
            show_cells(s, CELLS(V((double)(k + 1)), V(jar->name),
                                V(fraction_word(jar->fraction, runs[k].charge)),
                                V(runs[k].end_l[i]), V(jl_spirit_strength_pct(jar->spirit)),
                                V(jl_pure_alcohol_l(jar->so_far)), V(jar->head_c)));
        }
}

static const column LOOKED_AHEAD[] = {
    {"run", NULL, "", 0, 0, COLUMN_NUMBERS},   {"end_l", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"value", NULL, "", 0, 0, COLUMN_NUMBERS}, {"low", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"high", NULL, "", 0, 0, COLUMN_NUMBERS},  {"unit", NULL, "", 0, 0, COLUMN_WORDS},
};
enum { LOOKED_AHEAD_COLUMNS = sizeof LOOKED_AHEAD / sizeof LOOKED_AHEAD[0] };

static void show_estimate(show *s, size_t run, double end_l, jl_estimate of) {
    show_cells(s, CELLS(V((double)run), V(end_l), V(of.value), V(of.low), V(of.high), V("% vol")));
}

static void show_expected(show *s, const run_picture *runs, size_t count) {
    show_table(s, "expected_run", LOOKED_AHEAD, LOOKED_AHEAD_COLUMNS);
    for (size_t k = 0; k < count; k++) {
        const run_picture *r = &runs[k];
        for (size_t i = 0; i < r->expected_count; i++)
            show_estimate(s, k + 1, r->expected[i].end_l,
                          (jl_estimate){r->expected[i].strength_pct, NAN, NAN});
        for (size_t i = 0; i < r->slice_count; i++)
            show_estimate(s, k + 1, r->slice_l * (double)(i + 1), r->slices[i]);
    }
}

/* The rest of each run that goes on. */
static void show_rests(show *s, const run_picture *runs, size_t count) {
    show_table(s, "rest", LOOKED_AHEAD, LOOKED_AHEAD_COLUMNS);
    for (size_t k = 0; k < count; k++)
        for (size_t i = 0; i < runs[k].rest_count; i++)
            show_estimate(s, k + 1,
                          picture_volume_l(&runs[k]) + runs[k].rest_jar_l * (double)(i + 1),
                          runs[k].rest_pct[i]);
}

static void show_picture(show *s, const run_picture *runs, size_t count) {
    show_runs(s, runs, count);
    show_jars(s, runs, count);
    show_expected(s, runs, count);
    show_rests(s, runs, count);
    for (size_t i = 0; i < count; i++)
        if (runs[i].goes_on) show_caution(s, "%s", PICTURE_NEVER_ALONE);
}

/* Text has the figures in its picture; the defaults of a forecast stand below, wherever that went.
 * plan: NULL: logs were drawn. */
static int close_answer(const chart_options *o, const run_picture *runs, size_t count,
                        const planned *plan) {
    show *s = show_open(o->json != 0);
    if (o->json) show_picture(s, runs, count);
    if (plan != NULL) planned_assume(plan, s);
    show_written(s, &o->paper.file);
    return show_close(s, EXIT_DONE);
}

/* ---- As text ---- */

static int print(const chart_options *o, const run_picture *runs, size_t count) {
    bytes b = {0};
    double volume_l = volume_end(o, runs, count);
    if (o->together) chart_text_together(runs, count, o->compare_over, volume_l, &b);
    for (size_t i = 0; i < count && !o->together; i++) {
        if (i > 0) bytes_print(&b, "\n\n");
        chart_text(&runs[i], volume_l, &b);
    }
    int exit_status = paper_print(&b);
    bytes_free(&b);
    return exit_status;
}

static int make(const chart_options *o, const run_picture *runs, size_t count) {
    if (o->paper.file.path != NULL) return draw(o, runs, count);
    return o->json ? EXIT_DONE : print(o, runs, count);
}

/* What cannot be drawn of these runs as it was asked for. */
static int check_runs(const chart_options *o, const char *const *paths, const run_picture *runs,
                      size_t count) {
    for (size_t i = 0; i < count; i++) {
        int bad = chart_end_check(o->volume_to, o->volume_l, paths[i], &runs[i]);
        if (bad != 0) return bad;
        if (o->together && o->compare_over == OVER_RECOVERED && !(runs[i].charge_pure_l > 0))
            return fail(EXIT_DATA,
                        "%s: --over recovered needs charge_l and charge_strength_pct in the log",
                        paths[i]);
    }
    return EXIT_DONE;
}

/* With --forecast it must be there; of runs together it is shown where it says something. */
static int expect(const chart_options *o, const char *path, run_picture *first) {
    if (o->forecast) return picture_expect(path, first);
    if (o->together && first->charge_pure_l > 0 && picture_knows_still(first))
        picture_expect_if(first);
    return EXIT_DONE;
}

static int read_runs(const chart_options *o, const char *const *paths, size_t count,
                     run_picture *runs, size_t *n) {
    int bad = 0;
    for (*n = 0; *n < count && bad == 0; *n += bad == 0) bad = picture_read(paths[*n], &runs[*n]);
    if (bad == 0) bad = check_runs(o, paths, runs, count);
    return bad == 0 ? expect(o, paths[0], &runs[0]) : bad;
}

/* Runs of one name get their day behind it. */
static void tell_apart(run_picture *runs, size_t count) {
    bool twice[CHART_RUNS_MOST] = {false};
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++)
            twice[i] = twice[i] || (k != i && strcmp(runs[i].title, runs[k].title) == 0);
    for (size_t i = 0; i < count; i++) {
        char *alone = runs[i].title;
        if (!twice[i] || runs[i].started == NULL) continue;
        if (asprintf(&runs[i].title, "%s, %.10s", alone, runs[i].started) < 0) need(NULL);
        free(alone);
    }
}

static int answer_logs(const chart_options *o, const char *const *paths, size_t count) {
    run_picture runs[CHART_RUNS_MOST];
    size_t n, most = o->together ? COMPARE_RUNS_MOST : CHART_RUNS_MOST;
    if (count < 1 || count > most) return refuse("expected 1 to %zu run logs, as run.csv", most);
    int bad = read_runs(o, paths, count, runs, &n);
    if (bad == 0 && o->together) tell_apart(runs, count);
    if (bad == 0) bad = make(o, runs, count);
    if (bad == 0) bad = close_answer(o, runs, n, NULL);
    while (n > 0) picture_free(&runs[--n]);
    return bad;
}

/* ---- A run in progress, drawn again with every jar ---- */

typedef struct following {
    const chart_options *o;
    const char *path;
    output_options to;
    bytes last;   /* as it was drawn */
    size_t drawn; /* so many times */
    bool ended;   /* nothing is to come: a page is not loaded again */
} following;

static int follow_svg(const following *f, const run_picture *run, bytes *b) {
    sheet s;
    chart_layout l;
    int bad = lay_out(f->o, 1, &l);
    if (bad != 0) return bad;
    draw_sheet(f->o, &l, run, 1, volume_end(f->o, run, 1), &s);
    svg_write(&s, run->title, b);
    sheet_free(&s);
    return EXIT_DONE;
}

static int follow_html(const following *f, const run_picture *run, bytes *b) {
    enum { RENEW_S = 5 };
    char words[256];
    double width, height;
    int bad = paper_size(&f->o->paper, &width, &height);
    if (bad != 0) return bad;
    html_begin_renewed(b, run->title, width, height, f->ended ? 0 : RENEW_S);
    html_line(b, PICTURE_NEVER_ALONE, true);
    picture_words_charge(run, words, sizeof words);
    html_line(b, words, false);
    picture_words_collected(run, words, sizeof words);
    html_line(b, words, true);
    chart_html(b, run, (chart_end){volume_end(f->o, run, 1), 0}, "");
    html_end(b);
    return EXIT_DONE;
}

/* Only what looks otherwise is written. */
static int follow_write(following *f, bytes *b) {
    bool same =
        f->drawn > 0 && b->count == f->last.count && memcmp(b->data, f->last.data, b->count) == 0;
    int bad = same ? EXIT_DONE : output_write(&f->to, b->data, b->count);
    if (same || bad != 0) return bad;
    f->to.force = 1;
    f->drawn++;
    bytes_free(&f->last);
    f->last = *b;
    *b = (bytes){0};
    return EXIT_DONE;
}

/* A log that cannot be read for now is said, and its last picture stays. */
static int follow_draw(void *with, bool *over) {
    following *f = with;
    run_picture run;
    bytes b = {0};
    size_t n;
    int bad = read_runs(f->o, &f->path, 1, &run, &n);
    if (bad == 0) {
        *over = jl_run_recovery(run.run)->left_stated;
        f->ended = f->ended || *over;
        run.goes_on = true;
        bad = f->o->format == PAPER_SVG ? follow_svg(f, &run, &b) : follow_html(f, &run, &b);
        if (bad == 0) bad = follow_write(f, &b);
    } else if (f->drawn > 0)
        bad = EXIT_DONE;
    if (n > 0) picture_free(&run);
    bytes_free(&b);
    return bad;
}

static int follow(const chart_options *o, const char *path, double hours) {
    following f = {.o = o, .path = path, .to = o->paper.file};
    bool over = false;
    int bad = follow_draw(&f, &over);
    if (bad == 0 && !over) {
        printf("%s is drawn into %s with every jar, until the run is closed or %g hours have "
               "passed. %s\n",
               path, o->paper.file.path, hours, PICTURE_NEVER_ALONE);
        fflush(stdout);
        bad = follow_file(path, hours, follow_draw, &f);
    }
    if (bad == 0 && !f.ended) {
        f.ended = true;
        bad = follow_draw(&f, &over);
    }
    if (bad == 0)
        printf("Drawn %zu time%s: %s\n", f.drawn, f.drawn == 1 ? "" : "s", o->paper.file.path);
    bytes_free(&f.last);
    return close_output(bad);
}

static int answer_follow(const chart_options *o, const char *const *paths, size_t count) {
    double hours = 12;
    int bad = arg_value("--hours", o->hours, JL_NUMBER, &hours);
    if (bad != 0) return bad;
    if (!(hours > 0 && hours <= 168))
        return fail_argument("--hours", o->hours, JL_RANGE, "a number above 0, up to 168");
    if (o->json)
        return refuse("--follow draws a picture with every jar; expected it without --json");
    if (count != 1 || strcmp(paths[0], "-") == 0 || o->together || o->paper.file.path == NULL)
        return refuse("--follow takes one run log and one picture, as run.csv --follow -o run.svg "
                      "or -o run.html");
    return follow(o, paths[0], hours);
}

/* ---- A run to come ---- */

typedef struct plan_words {
    char *from; /* a file with the charge */
    setting_options still;
} plan_words;

static void name_it(const planned *p, run_picture *r) {
    const jl_still *still = &p->settings.still;
    if (asprintf(&r->title, "Forecast: %g stage%s, reflux %g%s, %.2f kPa", still->stages,
                 still->stages == 1 ? "" : "s", still->reflux_ratio,
                 still->schedule_count > 0 ? " at first" : "", still->pressure_kpa) < 0)
        need(NULL);
    r->forecast = true;
    r->charge_l = jl_volume_l(p->charge, JL_STRENGTH_C);
    r->charge_strength_pct = jl_spirit_strength_pct(p->charge);
    r->charge = p->charge;
    r->charge_pure_l = jl_pure_alcohol_l(p->charge);
}

static int read_plan(const plan_words *w, const args *a, planned *p) {
    jl_alcoholometer instrument;
    given_amount given;
    if ((w->from != NULL) + a->count != 1)
        return refuse("expected one charge, as --forecast 20L@12%%, or --charge-from FILE");
    int bad = arg_instrument(&w->still, &instrument);
    if (bad == 0)
        bad = given_charge(w->from == NULL ? a->words[0] : NULL, w->from, &instrument,
                           w->still.bench, &given);
    if (bad != 0) return bad;
    answer_by_amount(&given.amount);
    p->charge = given.spirit;
    bad = still_settings_read(&w->still, jl_spirit_strength_pct(p->charge), &p->settings);
    planned_take(p, &w->still, &given.part);
    given_free(&given);
    return bad;
}

static int picture_plan(const planned *p, run_picture *r) {
    jl_forecast_jars all;
    int bad = planned_jars(p, &all);
    if (bad != 0) return bad;
    if (all.count == 0 && all.sum.ending == JL_ENDED_ELEMENT) return planned_fail_element(p);
    if (all.count == 0)
        return fail(EXIT_NO, "the run ends at its first drop: there is nothing to draw; --stop-at "
                             "says where it ends");
    picture_begin(r);
    jl_jar *jars = need(calloc(all.count, sizeof *jars));
    for (size_t i = 0; i < all.count; i++) {
        jars[i] = (jl_jar){.size = sizeof jars[i],
                           .number = (uint32_t)all.jars[i].number,
                           .fraction = all.jars[i].fraction,
                           .spirit = all.jars[i].spirit,
                           .so_far = all.jars[i].so_far,
                           .head_c = all.jars[i].head_c};
        jl_jar_name_write((jl_jar_key)jars[i].number * JL_JAR_LETTERS, jars[i].name);
    }
    picture_own_jars(r, jars, all.count);
    jl_forecast_jars_free(&all);
    name_it(p, r);
    return 0;
}

static int answer_plan(const chart_options *o, const plan_words *w, const args *a) {
    planned p = {.charge_is = NULL};
    run_picture r;
    int bad = read_plan(w, a, &p);
    if (bad == 0) bad = picture_plan(&p, &r);
    if (bad != 0) return bad;
    bad = make(o, &r, 1);
    if (bad == 0) bad = close_answer(o, &r, 1, &p);
    picture_free(&r);
    return bad;
}

static int read_axes(chart_options *o) {
    int bad = chart_end_read(o->volume_to, &o->volume_l);
    if (bad != 0) return bad;
    if (o->over == NULL) return EXIT_DONE;
    o->together = 1;
    if (jl_same_letters(o->over, "recovered"))
        o->compare_over = OVER_RECOVERED;
    else if (!jl_same_letters(o->over, "volume"))
        return fail_argument("--over", o->over, JL_FORM, "volume or recovered");
    return EXIT_DONE;
}

/* What is wrong with where the picture goes is said before a log is read. */
static int read_options(chart_options *o) {
    double width, height;
    int bad = 0;
    unsigned allowed = o->follow ? 1 << PAPER_SVG | 1 << PAPER_HTML : PICTURES;
    if (o->paper.file.path != NULL) bad = paper_format_of(o->paper.file.path, allowed, &o->format);
    if (bad == 0) bad = paper_size(&o->paper, &width, &height);
    if (bad == 0) bad = arg_whole("--width", o->width, 100, 20000, &o->pixels_across);
    if (bad == 0) bad = read_axes(o);
    if (bad != 0 || o->width == NULL || o->format == PAPER_PNG) return bad;
    return refuse("--width is in pixels and belongs to -o run.png");
}

/* A log that exists is meant, and not a charge. */
static bool is_log(const args *a) {
    return a->count > 0 && (strcmp(a->words[0], "-") == 0 || access(a->words[0], F_OK) == 0);
}

/* log: beside which a bench file may lie; NULL: none. */
static int read_house(const plan_words *w, const char *log, chart_options *o) {
    const setting_options with = {.bench = w->still.bench, .log = log};
    jl_settings bench;
    int bad = instruments_read(&with, &bench);
    o->house_l = jl_setting_value(&bench, JL_KEY_CHART_TO);
    return bad;
}

/* A log's chart takes of a bench file where it ends. */
static bool has_still(const plan_words *w) {
    static const plan_words NOTHING;
    plan_words other = *w;
    other.still.bench = NULL;
    other.still.bench_later = false;
    return memcmp(&other, &NOTHING, sizeof NOTHING) != 0;
}

static int answer(chart_options *o, plan_words *w, const args *a) {
    int bad = read_options(o);
    if (bad != 0) return bad;
    w->still.bench_later = args_later(a, &w->still.bench, &w->still.still);
    bool logs_meant = !o->forecast || o->follow || is_log(a);
    bad = read_house(w, logs_meant ? a->words[0] : NULL, o);
    if (bad != 0) return bad;
    w->still.in_its_units = !logs_meant;
    if (!logs_meant) return answer_plan(o, w, a);
    if (has_still(w)) return refuse("a charge and a still belong to --forecast; a log has its own");
    size_t count = a->count;
    const char **logs = run_logs_of(a->words, &count, true);
    if (o->forecast && count > 1 && !o->together)
        bad = refuse("--forecast takes one log, or several with --together");
    else if (o->follow)
        bad = answer_follow(o, logs, count);
    else if (o->hours != NULL)
        bad = refuse("--hours belongs to --follow");
    else
        bad = answer_logs(o, logs, count);
    free(logs);
    return bad;
}

int command_chart(int argc, const char **argv) {
    chart_options o = {0};
    plan_words w = {0};
    const struct poptOption table[] = {
        PAPER_OPTIONS(o.paper, "run.svg, .png or .pdf; with --follow run.svg or .html"),
        OPTION("width", &o.width, "PIXELS", "of a PNG (two for each px)"),
        OPTION("volume-to", &o.volume_to, "VOLUME", "where the axis of volume ends"),
        FLAG("together", &o.together, "several runs in one panel"),
        OPTION("over", &o.over, "volume|recovered", "what strength is drawn over in it"),
        FLAG("follow", &o.follow, "draw it again with every jar, as an SVG or an HTML page"),
        OPTION("hours", &o.hours, "N", "and for how long (12)"),
        FLAG("forecast", &o.forecast, "what is expected: of a log, or of --forecast 20L@12%"),
        OPTION("charge-from", &w.from, "FILE", "its charge from a settings file"),
        BENCH_OPTION(w.still),
        STILL_OPTIONS(w.still),
        FLAG("json", &o.json, "what it shows as JSON, with or without a picture"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table,
                  "RUN.csv ... [-o run.svg] | --forecast CHARGE [-o run.svg]",
                  "A run as a picture; several on the same axes. Without -o as text."))
        a.exit_status = answer(&o, &w, &a);
    return args_close(&a);
}
