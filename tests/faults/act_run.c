#include "tests/faults/act_run.h"

#include <errno.h>
#include <semaphore.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <sodium.h>

#include "kiosk/desk/desk.h"
#include "kiosk/ledger/audit.h"
#include "tests/faults/act_run_day.h"
#include "tests/faults/act_run_known.h"
#include "tests/faults/act_run_state.h"

enum {
    ACT_EVERY_MS = 20000, /* less than a badge counts for */
    MS_A_DAY = 86400000,
    ACTS_MOST = WRITER_GROUP - 1,
    REST_MS = 450 /* the writer rests after 300 */
};

#define MORNING_MS INT64_C(1772442000000) /* 2026-03-02T09:00:00Z, a Monday */

/* ---- the same bytes every time ---- */

static uint64_t salt_state; /* of the writer thread alone: nobody else asks libsodium for bytes here */

static void seed(const char *id)
{
    salt_state = UINT64_C(14695981039346656037);
    for (; *id; id++)
        salt_state = (salt_state ^ (uint8_t)*id) * UINT64_C(1099511628211);
}

static uint64_t next(void)
{
    uint64_t z = salt_state += UINT64_C(0x9E3779B97F4A7C15); /* splitmix64 */
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

static const char *salts_name(void)
{
    return "act_run";
}

static uint32_t salts_random(void)
{
    return (uint32_t)next();
}

static void salts_fill(void *bytes, const size_t length)
{
    for (size_t i = 0; i < length; i++)
        ((uint8_t *)bytes)[i] = (uint8_t)next();
}

static int64_t instant_of(int number)
{
    int64_t instant = MORNING_MS + (int64_t)number * ACT_EVERY_MS;
    for (int i = 0; i <= number && i < ACT_RUN_LENGTH; i++)
        instant += act_run_day[i].next_day ? MS_A_DAY : 0;
    return instant;
}

static void write_id(int number, char id[ACT_ID_SIZE])
{
    (void)snprintf(id, ACT_ID_SIZE, "day-act-%04d", number);
}

static int number_of(const char *id)
{
    return (int)strtol(id + strlen("day-act-"), NULL, 10);
}

/* ---- a running writer ---- */

struct act_run {
    struct desk desk; /* first: it is what the acts' functions get */
    sem_t entered, go;
    char *address;
    struct clock *clock;
    struct feed *feed;
    struct writer *writer;
};

/* An act's function, with salts and a monotonic clock that depend on the act alone, in whatever group and at whatever
 * try it runs. */
static bool run_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    const struct act_kind *kind = desk_acts;
    while (strcmp(kind->kind, context->act->kind) != 0)
        kind++;
    seed(context->act->id);
    context->moment.mono_ms = instant_of(number_of(context->act->id)) - MORNING_MS;
    return kind->function(context, answer, fault);
}

/* Stops the writer thread: what is sent until it goes on is one group. */
static bool wait_at_the_gate(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct act_run *run = context->desk;
    (void)answer;
    (void)sem_post(&run->entered);
    while (sem_wait(&run->go) != 0 && errno == EINTR)
        ;
    return fault_set(fault, FAULT_REFUSED, "the gate");
}

static const struct act_kind *kinds(void)
{
    static struct act_kind table[64];
    size_t i = 0;
    if (table[0].kind)
        return table;
    for (; desk_acts[i].kind && i < 62; i++)
        table[i] = (struct act_kind){desk_acts[i].kind, run_act};
    table[i] = (struct act_kind){"gate", wait_at_the_gate};
    return table;
}

static struct act_run *create(const char *address)
{
    struct act_run *run = calloc(1, sizeof *run);
    if (!run)
        return NULL;
    run->address = strdup(address);
    run->clock = clock_create_driven((struct instant){instant_of(ACT_RUN_LENGTH)});
    run->feed = feed_create();
    run->desk =
        (struct desk){.idle_seconds = 90, .ask_need = true, .run = "one-run-of-the-daemon", .clock = run->clock};
    (void)sem_init(&run->entered, 0, 0);
    (void)sem_init(&run->go, 0, 0);
    if (run->address && run->clock && run->feed)
        return run;
    act_run_destroy(run);
    return NULL;
}

void act_run_destroy(struct act_run *run)
{
    if (!run)
        return;
    act_run_close(run);
    feed_destroy(run->feed);
    clock_destroy(run->clock);
    free(run->address);
    free(run);
}

bool act_run_open(struct act_run *run, struct fault *fault)
{
    const struct writer_options options = {.address = run->address,
                                           .kinds = kinds(),
                                           .desk = &run->desk,
                                           .clock = run->clock,
                                           .feed = run->feed,
                                           .kiosk = "TEST"};
    return run->writer || writer_create(&options, &run->writer, fault);
}

void act_run_close(struct act_run *run)
{
    writer_destroy(run->writer);
    run->writer = NULL;
}

void act_run_read_counts(struct act_run *run, struct writer_counts *counts)
{
    writer_read_counts(run->writer, counts);
}

static bool make_act(int number, const char *person, const char *content, struct act *act, struct fault *fault)
{
    *act = (struct act){.version = 1, .happened_at = {instant_of(number)}};
    write_id(number, act->id);
    (void)snprintf(act->kind, sizeof act->kind, "%s", act_run_day[number].kind);
    (void)snprintf(act->counter, sizeof act->counter, "%s", act_run_day[number].counter);
    (void)snprintf(act->person, sizeof act->person, "%s", person);
    (void)known_expand("", number, "<H1>", act->approver, sizeof act->approver); /* where one is needed */
    if (strcmp(act->kind, "enrol") == 0 || strcmp(act->kind, "pin-issue") == 0)
        (void)snprintf(act->aside, sizeof act->aside, "$argon2id$v=19$m=65536,t=2,p=1$invented$invented");
    if (strcmp(act->kind, "pin-tried") == 0)
        (void)snprintf(act->aside, sizeof act->aside, "wrong");
    act->content = json_loads(content, 0, NULL);
    return act->content || fault_set(fault, FAULT_BUSY, "no memory for act %d (or it is no JSON: %s)", number, content);
}

/* ---- what is right ---- */

struct right {
    char person[SERIAL_SIZE];
    char *content;  /* with everything in it that is known by then */
    json_t *answer; /* NULL: refused */
    int64_t head;   /* last movement after it */
    bool kept;
};

struct right_day {
    struct right acts[ACT_RUN_LENGTH];
    struct state states[ACT_RUN_LENGTH + 1]; /* [n]: after n acts */
    int64_t rows[ACT_RUN_LENGTH + 1];        /* stored answers after n acts */
};

static struct right_day *day; /* made once, never changed: shared by forked children */

static int64_t rows_of(const struct state *state, const char *table)
{
    for (int i = 0; i < state->count; i++)
        if (strcmp(state->tables[i].name, table) == 0)
            return state->tables[i].rows;
    return -1;
}

static bool refused_rightly(int number, const struct fault *fault)
{
    const char *says = act_run_day[number].refused;
    return says && fault->code != FAULT_STORAGE && fault->code != FAULT_BUSY && strstr(fault->text, says);
}

static bool learn_act(struct act_run *run, const char *path, int number, char *sentence, size_t size)
{
    struct right *right = &day->acts[number];
    struct fault fault = {FAULT_NONE, ""};
    struct act act;
    char content[1000];
    if (!known_expand(path, number, act_run_day[number].person, right->person, sizeof right->person) ||
        !known_expand(path, number, act_run_day[number].content, content, sizeof content)) {
        (void)snprintf(sentence, size, "act %d names what is not known", number);
        return false;
    }
    right->content = strdup(content);
    const bool done =
        make_act(number, right->person, content, &act, &fault) && writer_run(run->writer, &act, &right->answer, &fault);
    if (done == (act_run_day[number].refused != NULL) || (!done && !refused_rightly(number, &fault))) {
        (void)snprintf(sentence, size, "act %d (%s) %s: %s", number, act_run_day[number].kind,
                       done ? "was done" : "was refused", done ? "it should be refused" : fault.text);
        return false;
    }
    right->kept = done;
    return state_read(path, false, &day->states[number + 1], sentence, size);
}

static bool learn_day(const char *path, char *sentence, size_t size)
{
    struct fault fault = {FAULT_NONE, ""};
    struct act_run *run = create(path);
    day = calloc(1, sizeof *day);
    bool fine = run && day && act_run_open(run, &fault);
    if (!fine)
        (void)snprintf(sentence, size, "%s", fault.text);
    fine = fine && state_read(path, false, &day->states[0], sentence, size);
    for (int i = 0; fine && i < ACT_RUN_LENGTH; i++)
        fine = learn_act(run, path, i, sentence, size);
    act_run_destroy(run);
    for (int i = 0; fine && i <= ACT_RUN_LENGTH; i++) {
        day->rows[i] = rows_of(&day->states[i], "act");
        if (i > 0)
            day->acts[i - 1].head = rows_of(&day->states[i], "movement");
    }
    return fine;
}

static bool learn(void)
{
    static struct randombytes_implementation salts = {
        .implementation_name = salts_name, .random = salts_random, .buf = salts_fill};
    char folder[] = "/dev/shm/ambershelf-day-XXXXXX", path[80], sentence[ACT_RUN_SENTENCE] = "";
    static const char *const files[] = {"ledger.db", "ledger.db-wal", "ledger.db-shm", "ledger.db.lock"};
    if (day)
        return true;
    if (randombytes_set_implementation(&salts) != 0 || !mkdtemp(folder)) {
        (void)fprintf(stderr, "act_run: no folder under /dev/shm\n");
        return false;
    }
    (void)snprintf(path, sizeof path, "%s/ledger.db", folder);
    const bool fine = learn_day(path, sentence, sizeof sentence);
    if (!fine)
        (void)fprintf(stderr, "act_run: the day as it should be: %s\n", sentence);
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", folder, files[i]);
        (void)unlink(path);
    }
    (void)rmdir(folder);
    return fine;
}

struct act_run *act_run_create(const char *address)
{
    return learn() ? create(address) : NULL;
}

const char *act_run_kind(int number)
{
    return act_run_day[number].kind;
}

int64_t act_run_head(int acts)
{
    return acts > 0 ? day->acts[acts - 1].head : 0;
}

int act_run_movements(int number)
{
    return (int)(act_run_head(number + 1) - act_run_head(number));
}

bool act_run_is_kept(int number)
{
    return day->acts[number].kept;
}

/* ---- sending ---- */

static bool judge(int number, const json_t *answer, struct fault *fault)
{
    if (!answer)
        return refused_rightly(number, fault);
    return json_equal(answer, day->acts[number].answer) ||
           fault_set(fault, FAULT_CONFLICT, "act %d (%s) was answered otherwise than it should be", number,
                     act_run_day[number].kind);
}

static void rest(void)
{
    struct timespec left = {.tv_nsec = REST_MS * 1000000L};
    while (clock_nanosleep(CLOCK_MONOTONIC, 0, &left, &left) != 0)
        ;
}

bool act_run_send(struct act_run *run, int number, struct fault *fault)
{
    struct act act;
    json_t *answer = NULL;
    struct fault why = {FAULT_NONE, ""};
    if (number == ACT_RUN_REST)
        rest();
    if (make_act(number, day->acts[number].person, day->acts[number].content, &act, &why))
        (void)writer_run(run->writer, &act, &answer, &why);
    const bool right = judge(number, answer, &why);
    json_decref(answer);
    *fault = why;
    return right;
}

/* ---- a group ---- */

struct told {
    int number;
    bool *answered;
    struct fault *fault;
    sem_t *done;
};

static void take(void *context, const char *id, json_t **answer, int64_t last_seq, bool repeated,
                 const struct fault *fault)
{
    struct told *told = context;
    (void)id, (void)last_seq, (void)repeated;
    *told->fault = *fault;
    *told->answered = told->number < 0 || judge(told->number, *answer, told->fault);
    (void)sem_post(told->done);
}

static void wait_for(sem_t *semaphore)
{
    while (sem_wait(semaphore) != 0 && errno == EINTR)
        ;
}

static void send_gate(struct act_run *run, struct told *told)
{
    struct act act = {.id = "gate-of-the-day", .kind = "gate", .version = 1, .content = json_object()};
    if (!act.content || !writer_submit(run->writer, &act, take, told, NULL)) {
        (void)fprintf(stderr, "act_run: no memory for a group\n");
        abort();
    }
}

void act_run_send_group(struct act_run *run, int first, int count, bool answered[], struct fault faults[])
{
    struct told told[ACTS_MOST + 1];
    struct fault ignored;
    bool gate;
    int sent = 1;
    sem_t done;
    (void)sem_init(&done, 0, 0);
    told[ACTS_MOST] = (struct told){-1, &gate, &ignored, &done};
    send_gate(run, &told[ACTS_MOST]);
    wait_for(&run->entered);
    for (int i = 0; i < count && i < ACTS_MOST; i++) {
        struct act act;
        answered[i] = false;
        told[i] = (struct told){first + i, &answered[i], &faults[i], &done};
        sent += make_act(first + i, day->acts[first + i].person, day->acts[first + i].content, &act, &faults[i]) &&
                writer_submit(run->writer, &act, take, &told[i], &faults[i]);
    }
    (void)sem_post(&run->go);
    for (int i = 0; i < sent; i++)
        wait_for(&done);
    (void)sem_destroy(&done);
}

/* ---- looking ---- */

static const char *path_of(const char *address)
{
    return strncmp(address, "sqlite:", 7) == 0 ? address + 7 : address;
}

/* Says of a state that is none of the right ones what is wrong with it, as near as it can be said. */
static void say_what_is_wrong(const struct state *state, int answered, int doubtful, char *sentence, size_t size)
{
    const int64_t rows = rows_of(state, "act"), movements = rows_of(state, "movement");
    int near = 0;
    while (near < ACT_RUN_LENGTH && (day->rows[near] < rows || act_run_head(near) < movements))
        near++;
    const char *table = state_differs(state, &day->states[near]);
    if (rows == day->rows[near] && movements == act_run_head(near) && near < answered)
        (void)snprintf(sentence, size, "act %d (%s) was answered and is not there: %lld acts, %lld movements", near,
                       act_run_day[near].kind, (long long)rows, (long long)movements);
    else if (table)
        (void)snprintf(sentence, size,
                       "%lld acts and %lld movements are there (%d acts were answered, %d are doubtful): table '%s' is "
                       "not as after %d acts",
                       (long long)rows, (long long)movements, answered, doubtful, table, near);
    else
        (void)snprintf(sentence, size, "%d acts are there; only %d were answered and %d sent besides", near, answered,
                       doubtful);
}

static bool is_right_state(const struct state *state, int answered, int doubtful, int *held, char *sentence,
                           size_t size)
{
    if (state->count == 0 && answered == 0) {
        *held = 0;
        return true;
    }
    for (int i = answered + doubtful < ACT_RUN_LENGTH ? answered + doubtful : ACT_RUN_LENGTH; i >= answered; i--)
        if (!state_differs(state, &day->states[i])) {
            *held = i;
            return true;
        }
    say_what_is_wrong(state, answered, doubtful, sentence, size);
    return false;
}

static bool is_clean(const char *address, char *sentence, size_t size)
{
    struct verify_report report = {.movements = 0};
    struct fault fault = {FAULT_NONE, ""};
    bool clean = false;
    if (!ledger_verify(address, &report, &clean, &fault)) {
        (void)snprintf(sentence, size, "verify cannot look: %s", fault.text);
        return false;
    }
    if (!clean)
        (void)snprintf(sentence, size, "verify: %s", report.sentence);
    return clean;
}

bool act_run_check(const char *address, int answered, int doubtful, int *held, char *sentence, size_t size)
{
    struct state state;
    int there = 0;
    if (!learn()) {
        (void)snprintf(sentence, size, "it is not known what is right");
        return false;
    }
    if (answered == 0 && access(path_of(address), F_OK) != 0) {
        if (held)
            *held = 0;
        return true;
    }
    if (!state_read(path_of(address), true, &state, sentence, size) ||
        !is_right_state(&state, answered, doubtful, &there, sentence, size) ||
        (state.count > 0 && !is_clean(address, sentence, size)))
        return false;
    if (held)
        *held = there;
    return true;
}
