#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <jansson.h>

#include "kiosk/cases/case.h"
#include "labels/basics/calendar.h"
#include "tests/reading/random.h"

/* bench_decisions                  the names of what it can ask
 * bench_decisions NAME ROUNDS      what it costs: one line of JSON, medians of the rounds, CPU of this process
 * bench_decisions NAME --cases     the very cases, one a line, for a peer to answer
 *
 * Each call is case_compute and the writing of its answer; what of it is JSON alone (reading the text, writing the
 * answer) is measured by itself. "answer" is the sum of one key over all calls, to be compared with a peer's. */

/* --- cases, drawn from one seed --- */

static double draw_between(uint64_t *random, double least, double most)
{
    return least + (most - least) * (random_next(random) + 0.5) / 4294967296.0;
}

static void put_numbers(json_t *object, const char *key, const double *numbers, int count)
{
    json_t *list = json_array();
    for (int i = 0; i < count; i++)
        json_array_append_new(list, json_real(numbers[i]));
    json_object_set_new(object, key, list);
}

static json_t *draw_id(char letter, int number)
{
    return json_sprintf("%c%06d", letter, number);
}

/* `count` cartridges, in percent how many are open, with so much in them. */
static json_t *draw_load_plan(uint64_t *random, int count, int open, int least, int most, int need,
                              const char *objective)
{
    json_t *list = json_array();
    for (int i = 0; i < count; i++) {
        char date[CALENDAR_DATE_SIZE];
        const struct day expires = {20500 + random_below(random, 300)};
        json_t *one = json_object();
        json_object_set_new(one, "id", draw_id('C', i));
        json_object_set_new(one, "usable_ml", json_integer(least + random_below(random, most - least)));
        json_object_set_new(one, "expires", json_string(calendar_write_date(expires, date)));
        json_object_set_new(one, "opened", json_boolean(random_below(random, 100) < open));
        json_array_append_new(list, one);
    }
    const bool best_fit = strcmp(objective, "best-fit") == 0; /* as a solver of whole numbers can be asked */
    return json_pack("{s:i, s:i, s:s, s:s, s:i, s:o}", "need_ml", need, "slots", best_fit ? count : 2, "job_end",
                     "2026-02-01", "objective", objective, "dreg_ml", best_fit ? 0 : 40, "cartridges", list);
}

static json_t *draw_open_ones(uint64_t *random)
{
    return draw_load_plan(random, 200, 100, 20, 900, 10000, "partials");
}

static json_t *draw_many_litres(uint64_t *random)
{
    return draw_load_plan(random, 60, 50, 300, 1000, 30000, "partials");
}

static json_t *draw_best_fit(uint64_t *random)
{
    return draw_load_plan(random, 60, 50, 300, 1000, 30000, "best-fit");
}

/* 200 lots that expire within 24 months; a little less is used than there is. */
static json_t *draw_waste(uint64_t *random)
{
    json_t *lots = json_array();
    for (int i = 0; i < 200; i++)
        json_array_append_new(lots, json_pack("{s:o, s:i, s:i}", "id", draw_id('L', i), "quantity",
                                              1 + random_below(random, 5), "expires_period", 1 + i * 24 / 200));
    return json_pack("{s:o, s:{s:s, s:f}}", "lots", lots, "model", "kind", "poisson", "mean", 23.5);
}

enum { PERIODS = 36 };

static void draw_series(uint64_t *random, double series[PERIODS])
{
    const int often = 10 + random_below(random, 60);
    for (int i = 0; i < PERIODS; i++)
        series[i] = i == 3 || i == 20 || random_below(random, 100) < often ? 1 + random_below(random, 6) : 0;
}

static json_t *draw_forecast(uint64_t *random)
{
    double series[PERIODS];
    json_t *asked = json_pack("{s:s}", "method", "sba");
    draw_series(random, series);
    put_numbers(asked, "demand", series, PERIODS);
    return asked;
}

static json_t *draw_reorder_point(uint64_t *random)
{
    double series[PERIODS], sum = 0, squares = 0;
    draw_series(random, series);
    for (int i = 0; i < PERIODS; i++) {
        sum += series[i];
        squares += series[i] * series[i];
    }
    const double mean = sum / PERIODS, variance = (squares - sum * mean) / (PERIODS - 1);
    return json_pack("{s:{s:s, s:f, s:f}, s:i, s:f, s:i, s:i}", "model", "kind", "negative-binomial", "mean", mean,
                     "variance", fmax(variance, mean * 1.01), "lead_periods", 2, "target", 0.95, "order_quantity", 3,
                     "on_hand", random_below(random, 20));
}

/* Lives of beta 3 and eta 600 hours; each is watched until another one of the kind. */
static json_t *draw_lives(uint64_t *random)
{
    enum { UNITS = 10000 };
    static double hours[UNITS], events[UNITS];
    json_t *asked = json_object();
    for (int i = 0; i < UNITS; i++) {
        const double life = 600 * cbrt(-log(draw_between(random, 0, 1))),
                     watched = 600 * cbrt(-log(draw_between(random, 0, 1)));
        events[i] = life <= watched;
        hours[i] = fmin(life, watched);
    }
    put_numbers(asked, "hours", hours, UNITS);
    put_numbers(asked, "events", events, UNITS);
    return asked;
}

/* A room of so many labels, one in fifty moved, one in fifty gone. */
static json_t *draw_scans(uint64_t *random, int count)
{
    json_t *expected = json_array(), *scans = json_array();
    for (int i = 0; i < count; i++) {
        const int fate = random_below(random, 100), place = random_below(random, count / 50 + 1);
        json_array_append_new(expected, json_pack("{s:o, s:o}", "id", draw_id('U', i), "place", draw_id('S', place)));
        if (fate >= 2)
            json_array_append_new(scans, json_pack("{s:o, s:o}", "id", draw_id('U', i), "place",
                                                   draw_id('S', fate < 4 ? place + 1 : place)));
    }
    return json_pack("{s:o, s:o}", "expected", expected, "scans", scans);
}

static json_t *draw_10000_scans(uint64_t *random)
{
    return draw_scans(random, 10000);
}

static json_t *draw_100000_scans(uint64_t *random)
{
    return draw_scans(random, 100000);
}

static const struct bench {
    const char *name, *rule, *key; /* key: of the answer, summed; of a list its length */
    int calls;
    json_t *(*draw)(uint64_t *random);
} benches[] = {
    {"load-plan-200-open", "load-plan", "slack_ml", 1, draw_open_ones},
    {"load-plan-60", "load-plan", "slack_ml", 1, draw_many_litres},
    {"load-plan-60-best-fit", "load-plan", "slack_ml", 1, draw_best_fit},
    {"waste-200-lots", "fefo-waste-random", "total_expected_waste", 1, draw_waste},
    {"forecast-5000", "demand-forecast", "forecast_per_period", 5000, draw_forecast},
    {"reorder-5000", "reorder-point", "level", 5000, draw_reorder_point},
    {"weibull-10000", "weibull-fit", "eta_hours", 1, draw_lives},
    {"match-10000", "match-count", "units", 1, draw_10000_scans},
    {"match-100000", "match-count", "units", 1, draw_100000_scans},
};

/* --- measuring --- */

struct measured {
    struct call {
        char *text;
        size_t length;
        json_t *answer;
    } * calls;
    size_t bytes;
    size_t arena_used; /* most of any call */
};

static unsigned char memory[CASE_ARENA];

static double cpu_ms(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static int by_size(const void *a, const void *b)
{
    const double one = *(const double *)a, two = *(const double *)b;
    return (one > two) - (one < two);
}

static double median(double *values, size_t count)
{
    qsort(values, count, sizeof *values, by_size);
    return count % 2 ? values[count / 2] : (values[count / 2 - 1] + values[count / 2]) / 2;
}

/* All calls once. Milliseconds, or below 0: a fault, told on standard error. */
static double ask_all(const struct bench *bench, const struct rule_case *rule, struct measured *measured)
{
    const double start = cpu_ms();
    for (int i = 0; i < bench->calls; i++) {
        struct call *call = &measured->calls[i];
        struct rule_fault fault;
        struct arena arena;
        arena_init(&arena, memory, sizeof memory);
        json_decref(call->answer);
        call->answer = NULL;
        if (!case_compute(rule, call->text, call->length, &arena, &call->answer, &fault)) {
            (void)fprintf(stderr, "%s, call %d: %s\n", bench->name, i, fault.text);
            return -1;
        }
        free(json_dumps(call->answer, JSON_COMPACT));
        if (arena.used > measured->arena_used)
            measured->arena_used = arena.used;
    }
    return cpu_ms() - start;
}

/* The same without the rule: the text read, the answer written. */
static double json_alone(const struct bench *bench, const struct measured *measured)
{
    const double start = cpu_ms();
    for (int i = 0; i < bench->calls; i++) {
        const struct call *call = &measured->calls[i];
        json_decref(json_loadb(call->text, call->length, JSON_REJECT_DUPLICATES | JSON_DECODE_INT_AS_REAL, NULL));
        free(json_dumps(call->answer, JSON_COMPACT));
    }
    return cpu_ms() - start;
}

static int report(const struct bench *bench, const struct rule_case *rule, struct measured *measured, int rounds)
{
    enum { MOST = 100 };
    double all[MOST], json[MOST], sum = 0;
    for (int round = 0; round < rounds; round++) {
        all[round] = ask_all(bench, rule, measured);
        if (all[round] < 0)
            return 1;
        json[round] = json_alone(bench, measured);
    }
    for (int i = 0; i < bench->calls; i++) {
        const json_t *value = json_object_get(measured->calls[i].answer, bench->key);
        sum += json_is_array(value) ? (double)json_array_size(value) : json_number_value(value);
    }
    printf("{\"name\": \"%s\", \"rule\": \"%s\", \"calls\": %d, \"bytes\": %zu, \"cpu_ms\": %.4f, \"json_ms\": %.4f, "
           "\"arena_bytes\": %zu, \"answer\": %.17g}\n",
           bench->name, bench->rule, bench->calls, measured->bytes, median(all, (size_t)rounds),
           median(json, (size_t)rounds), measured->arena_used, sum);
    return 0;
}

static bool draw_all(const struct bench *bench, struct measured *measured)
{
    uint64_t random = 20261126;
    measured->calls = calloc((size_t)bench->calls, sizeof *measured->calls);
    for (int i = 0; measured->calls && i < bench->calls; i++) {
        struct call *call = &measured->calls[i];
        json_t *drawn = bench->draw(&random);
        call->text = json_dumps(drawn, JSON_COMPACT | JSON_REAL_PRECISION(17));
        json_decref(drawn);
        if (!call->text)
            return false;
        call->length = strlen(call->text);
        measured->bytes += call->length;
    }
    return measured->calls != NULL;
}

int main(int argc, char **argv)
{
    const struct bench *bench = NULL;
    struct measured measured = {0};
    for (size_t i = 0; i < sizeof benches / sizeof *benches; i++) {
        if (argc < 2)
            printf("%s\n", benches[i].name);
        else if (strcmp(argv[1], benches[i].name) == 0)
            bench = &benches[i];
    }
    if (!bench || argc < 3)
        return argc < 2 ? 0 : 2;
    const struct rule_case *rule = case_find(bench->rule);
    if (!draw_all(bench, &measured))
        return 1;
    if (strcmp(argv[2], "--cases") == 0) {
        for (int i = 0; i < bench->calls; i++)
            printf("%s\n", measured.calls[i].text);
        return 0;
    }
    if (!rule) {
        printf("{\"name\": \"%s\", \"missing\": \"%s\"}\n", bench->name, bench->rule);
        return 0;
    }
    const long rounds = strtol(argv[2], NULL, 10);
    return rounds >= 1 && rounds <= 100 ? report(bench, rule, &measured, (int)rounds) : 2;
}
