#ifndef KIOSK_LEDGER_DESK_ROWS_H
#define KIOSK_LEDGER_DESK_ROWS_H

#include "kiosk/ledger/ledger.h"

/* Deliveries, jobs, label prints and questions (kept by apply), and counters' sessions (not part of the ledger: what
 * a counter is in the middle of; a row, so that a restart forgets nothing). */

struct delivery {
    char id[DELIVERY_SIZE];
    char supplier[65];
    bool open;
    int64_t opened_ms; /* wall instant */
    int64_t version;
};
bool delivery_load(struct ledger *ledger, const char *id, struct delivery *row, bool *found, struct fault *fault);
typedef bool delivery_visitor(const struct delivery *row, void *context);
bool delivery_each_open(struct ledger *ledger, delivery_visitor *visit, void *context, struct fault *fault);

enum { JOB_CODE_SIZE = 33 };
struct job {
    char id[JOB_SIZE];
    char machine[PRINTER_SIZE];
    char person[SERIAL_SIZE];
    int64_t started_ms, ended_ms; /* wall instants; MOVEMENT_NULL: it is planned, it has not ended */
    int64_t need_ul;              /* MOVEMENT_NULL unknown */
    int64_t end_day;              /* when it is to end, MOVEMENT_NULL unknown */
    int64_t minutes;              /* MOVEMENT_NULL unknown */
    char code[JOB_CODE_SIZE];     /* what the shop calls it; several jobs may have had it; "" none */
    int64_t end_ms;               /* when it is to end, to the minute; MOVEMENT_NULL unknown */
    int64_t ticket;               /* movement that says what is printed (job_ticket.h); MOVEMENT_NULL: none did */
    char outcome[WORD_SIZE];      /* done, failed, aborted; of a plan dropped, replaced; "" runs, or nobody said */
    int64_t used_ul;              /* as it was told or reckoned, MOVEMENT_NULL unknown */
    int64_t version;
};
bool job_load(struct ledger *ledger, const char *id, struct job *row, bool *found, struct fault *fault);
typedef bool job_visitor(const struct job *row, void *context);
/* Those of this code that run. */
bool job_each_running_of_code(struct ledger *ledger, const char *code, job_visitor *visit, void *context,
                              struct fault *fault);
/* Those of this code that ended, and those of this machine; the one that ended last first. They read every job that
 * ever was: for the rare question only. */
bool job_each_ended_of_code(struct ledger *ledger, const char *code, int64_t limit, job_visitor *visit, void *context,
                            struct fault *fault);
bool job_each_ended_of_machine(struct ledger *ledger, const char *machine, int64_t limit, job_visitor *visit,
                               void *context, struct fault *fault);
/* Those of this code that are planned and have not begun, the oldest first. */
bool job_each_planned_of_code(struct ledger *ledger, const char *code, job_visitor *visit, void *context,
                              struct fault *fault);
/* Those that are planned or run, machine by machine. */
bool job_each_open(struct ledger *ledger, int64_t limit, job_visitor *visit, void *context, struct fault *fault);
/* The one of this code that was last heard of, whatever became of it. */
bool job_last_of_code(struct ledger *ledger, const char *code, struct job *row, bool *found, struct fault *fault);
/* The job that runs on a machine now. */
bool job_load_running(struct ledger *ledger, const char *machine, struct job *row, bool *found, struct fault *fault);

/* What a supplier's stickers of plain text look like (labels/content/sticker_pattern.h), as the shop taught it. */
enum { STICKER_KEPT_SIZE = 1201, STICKER_EXAMPLE_SIZE = 257 };
struct sticker {
    char id[WORD_SIZE]; /* "sticker-" and the number of the movement that taught it */
    char supplier[65];  /* as deliveries name it; capitals and small letters are the same */
    char pattern[STICKER_KEPT_SIZE];
    char example[STICKER_EXAMPLE_SIZE]; /* what it was taught from */
    bool forgotten;
    int64_t version;
};
bool sticker_load(struct ledger *ledger, const char *id, struct sticker *row, bool *found, struct fault *fault);
typedef bool sticker_visitor(const struct sticker *row, void *context);
/* Those not forgotten, in order of supplier and age. */
bool sticker_each(struct ledger *ledger, sticker_visitor *visit, void *context, struct fault *fault);

enum print_state {
    PRINT_WAITING,
    PRINT_SENT,
    PRINT_PRINTED,
    PRINT_PROVED,
    PRINT_FAILED,
    PRINT_UNKNOWN,
    PRINT_WITHDRAWN,
    PRINT_STATES
};
const char *print_state_word(enum print_state state);
bool print_state_read(const char *word, enum print_state *state);
/* Is the step legal? One array [from][to]; anything not listed is a fault naming both. */
bool print_state_step(enum print_state from, enum print_state to, struct fault *fault);

struct print {
    char unit[SERIAL_SIZE]; /* a unit's or a person's serial; "" for a place's label */
    char place[PLACE_SIZE]; /* or which job's ticket: print_ticket_name */
    int64_t number;         /* 1 = first label of this unit, counted up by reprints */
    enum print_state state;
    char label_template[WORD_SIZE];
    char device[65];         /* label printer it went to, "" while waiting */
    int64_t device_job;      /* job number there, MOVEMENT_NULL */
    int64_t ordered_seq;     /* movement that ordered it */
    int64_t ordered_ms;      /* its wall instant */
    char batch[ACT_ID_SIZE]; /* the act that ordered it: what one act orders is a batch; "" = none said */
    int64_t rank; /* the smallest that waits is the next to print: ordered_seq, or below 0 once moved to the front */
    int64_t version;
};
/* The ticket of the job that movement `plan` planned, or told of, as the name of its label: "JOB/4711", which is no
 * place's, for those hold no '/'. And back: MOVEMENT_NULL, it names no ticket. */
void print_ticket_name(int64_t plan, char place[PLACE_SIZE]);
int64_t print_ticket_plan(const char *place);
bool print_load(struct ledger *ledger, const char *unit, const char *place, int64_t number, struct print *row,
                bool *found, struct fault *fault);
typedef bool print_visitor(const struct print *row, void *context);
/* In the order in which they are to be printed. */
bool print_each_in_state(struct ledger *ledger, enum print_state state, int64_t limit, print_visitor *visit,
                         void *context, struct fault *fault);
bool print_each_of_unit(struct ledger *ledger, const char *unit, print_visitor *visit, void *context,
                        struct fault *fault);
/* What waits, one line a batch: its next label and how many of it wait; in the order of printing. */
typedef bool print_batch_visitor(const struct print *next, int64_t waiting, void *context);
bool print_each_batch(struct ledger *ledger, int64_t limit, print_batch_visitor *visit, void *context,
                      struct fault *fault);
/* The newest label of each thing in service, badge and place that somebody still has to deal with: it came out, or
 * failed, or nobody knows, or it was withdrawn while no older one is on the thing; and it is not proved. In the order
 * in which they were ordered, behind `after_seq`. */
bool print_each_open(struct ledger *ledger, int64_t after_seq, int64_t limit, print_visitor *visit, void *context,
                     struct fault *fault);

struct question {
    int64_t seq; /* number of the movement that opened it: its id */
    char code[WORD_SIZE];
    char unit[SERIAL_SIZE];
    char person[SERIAL_SIZE];
    char note[241]; /* from the erasable text */
    bool open;
    int64_t opened_ms;
    int64_t version;
};
bool question_load(struct ledger *ledger, int64_t seq, struct question *row, bool *found, struct fault *fault);
typedef bool question_visitor(const struct question *row, void *context);
bool question_each_open(struct ledger *ledger, int64_t limit, question_visitor *visit, void *context,
                        struct fault *fault);

/* A session's `state` is the desk's own JSON, 64 KiB at most; "" when there is no row. */
enum { SESSION_STATE_SIZE = 65536, COUNTER_SIZE = 17 };
bool session_load(struct ledger *ledger, const char *counter, char *state, size_t size, struct fault *fault);
bool session_store(struct ledger *ledger, const char *counter, const char *state, struct fault *fault);

#endif
