/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "inside.h"
#include "answer/say.h"
#include "book/book_file.h"

#include <stdio_ext.h>

int jarline_main(int argc, char **argv);

static const struct {
    const char *name, *text;
} SEASON[] = {
    {"run.csv", "#jarline,1\n#title,apples\n#started,2026-10-24T09:00:00+02:00\n#charge_l,10\n"
                "#charge_strength_pct,30\n#expect,0.5,78,79\n#expect,1.5,74,80\n#expect,3,60,86\n"
                "jar,time,volume_ml,reading_pct,temp_c,head_c,fraction,note\n"
                "1,2026-10-24T09:40:00+02:00,250,79.5,21,78.5,heads,\n"
                "2,2026-10-24T09:52:00+02:00,500,77,21,79.1,hearts,\"a, b\"\n"
                "3,2026-10-24T10:10:00+02:00,500,73.5,22,80.2,,\n"},
    {"saved.csv", "jar;volume_ml;strength_pct;note\r\n1;250;78,5;a\r\n2;500;74;\r\n;;;"},
    {"wash.csv", "#jarline,1\n#kind,wash\n#wash_l,25\ntime,add,gravity,temp_c,step,duration,note\n"
                 "2026-09-05T18:00:00+02:00,6kg sugar,,,,,\n"
                 "2026-09-05T18:10:00+02:00,,1.090,20,,,\n"
                 "2026-09-12T18:00:00+02:00,,0.998,20,,,\n"
                 "2026-09-15T18:00:00+02:00,,,,settle,2d,\n"},
    {"book.csv",
     "#jarline,1\n#kind,book\nentry,time,what,from,into,receiver,kind,volume_l,weight_kg,"
     "reading_pct,reading_proof,strength_pct,strength_proof,temp_c,solids_g_100ml,bottles,"
     "bottle_ml,lot,run,late,note,ethanol_kg,water_kg\n"
     "2026-1,2026-11-20T10:00:00+01:00,vessel,,a,,glass,10,,,,,,,,,,,,,,0,0\n"
     "2026-2,2026-11-20T10:05:00+01:00,opening,,a,,spirit,5,,,,70,,,,,,,,,\"pear, clean\","
     "2.76233693154992954,1.66547073108698496\n"},
    {"still.csv", "power_w,1800\nstill,Pot\nstages,1\nstill,Column\nstages,3\nreflux,2\n"},
};
enum { FILES = sizeof SEASON / sizeof SEASON[0] };

void season(void) {
    scratch_clear();
    for (size_t i = 0; i < FILES; i++)
        scratch_put(SEASON[i].name, SEASON[i].text, strlen(SEASON[i].text));
}

bool is_untouched(const char *name) {
    static char bytes[1 << 16];
    for (size_t i = 0; i < FILES; i++) {
        if (strcmp(SEASON[i].name, name) != 0) continue;
        size_t length = scratch_get(name, bytes, sizeof bytes);
        return length == strlen(SEASON[i].text) && memcmp(bytes, SEASON[i].text, length) == 0;
    }
    return true;
}

static void set_environment(void) {
    static bool set;
    if (set) return;
    set = true;
    setenv("XDG_CONFIG_HOME", "/nonexistent", 1);
    setenv("HOME", "/nonexistent", 1);
    setenv("TZ", "UTC", 1);
    setenv("LC_ALL", "C.UTF-8", 1);
    unsetenv("JARLINE_BENCH");
}

said run_inside(char **words, const void *input, size_t size) {
    said s = {0};
    char name[] = "jarline", *argv[64] = {name};
    FILE *out = stdout, *err = stderr;
    int argc = 1, fd = given_bytes(input, size), home = open(".", O_RDONLY | O_CLOEXEC);
    set_environment();
    scratch_make();
    HOLDS(home >= 0 && chdir(scratch) == 0);
    for (; argc < 63 && words[argc - 1] != NULL; argc++) argv[argc] = words[argc - 1];
    HOLDS(fd >= 0 && dup2(fd, STDIN_FILENO) == STDIN_FILENO);
    close(fd);
    __fpurge(stdin);
    clearerr(stdin);
    stdout = open_memstream(&s.out, &s.out_size);
    stderr = open_memstream(&s.err, &s.err_size);
    say_name(""); /* the last call's words are gone */
    s.status = jarline_main(argc, argv);
    fclose(stdout);
    fclose(stderr);
    stdout = out;
    stderr = err;
    HOLDS(fchdir(home) == 0);
    close(home);
    return s;
}

void said_free(said *s) {
    free(s->out);
    free(s->err);
}

/* Nothing that steers a terminal; the lines of an answer end, and may have tabs in CSV. */
static void is_plain(const char *text, size_t size) {
    for (size_t i = 0; i < size; i++) {
        unsigned char c = (unsigned char)text[i];
        bool plain = (c >= ' ' && c != 0x7f) || c == '\n' || c == '\t';
        if (!plain) fprintf(stderr, "%.*s\n", (int)size, text);
        HOLDS(plain);
    }
}

static bool reads(const char *name) {
    char path[128];
    jl_run *run;
    jl_book_file *book;
    jl_wash_log *wash;
    scratch_path(name, path);
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    bool good = fd >= 0;
    if (good && strcmp(name, "book.csv") == 0) {
        good = jl_book_read(fd, &book, NULL) == JL_OK;
        if (good) jl_book_close(book);
    } else if (good && strcmp(name, "wash.csv") == 0) {
        good = jl_wash_log_read(fd, &JL_HYDROMETER, &wash, NULL) == JL_OK;
        if (good) jl_wash_log_free(wash);
    } else if (good) {
        good = jl_run_read(fd, &run, NULL) == JL_OK;
        if (good) jl_run_free(run);
    }
    if (fd >= 0) close(fd);
    return good;
}

static bool has(const void *text, size_t size, const char *what) {
    return memmem(text, size, what, strlen(what)) != NULL;
}

/* What a format had no text or no number for, and nobody has typed. */
static void is_complete(const said *s, const void *typed, size_t size) {
    static const char *const NOTHING[] = {"(null)", " nan "};
    for (size_t i = 0; i < 2; i++)
        HOLDS(has(typed, size, i == 0 ? "null" : "nan") ||
              (strstr(s->out, NOTHING[i]) == NULL && strstr(s->err, NOTHING[i]) == NULL));
}

void said_holds(const said *s, const void *typed, size_t size) {
    static const int KNOWN[] = {0, 1, 2, 65, 66, 70, 73, 74, 75};
    bool known = false;
    for (size_t i = 0; i < sizeof KNOWN / sizeof KNOWN[0]; i++)
        known = known || s->status == KNOWN[i];
    HOLDS(known);
    HOLDS(s->status == 0 || s->err_size > 0 || s->out_size > 0);
    is_plain(s->out, s->out_size);
    is_plain(s->err, s->err_size);
    is_complete(s, typed, size);
    HOLDS(reads("run.csv") && reads("saved.csv") && reads("wash.csv") && reads("book.csv"));
}
