#include "kiosk/desk/undo.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/job_plan.h"
#include "kiosk/desk/undone_act.h"
#include "kiosk/ledger/act_row.h"
#include "kiosk/ledger/catalogue.h"

/* Does it take something back itself? UNDO goes past such acts. */
static bool takes_back(const struct movement *movement)
{
    return movement->refers != MOVEMENT_NULL && movement->kind != MOVEMENT_SETTLEMENT;
}

/* Tells nothing of its own: a tray's label that went with its vat, a pair that was parted for another. */
static bool is_beside(const struct undone_act *act, const struct movement *movement)
{
    const bool goes_along = movement->kind == MOVEMENT_RETIRE && movement->unit[0] == 'T' &&
                            movement > act->movements && movement[-1].kind == MOVEMENT_RETIRE;
    return goes_along || (movement->kind == MOVEMENT_PAIR && movement->word[0] != '\0');
}

/* What the act did, by its telling movement; NULL when it did nothing that can be taken back. */
static const char *act_words(const struct undone_act *act, const struct movement **telling)
{
    static const struct {
        enum movement_kind kind;
        const char *words;
        enum print_state state; /* of MOVEMENT_PRINT */
    } kinds[] = {{MOVEMENT_CHECK_OUT, "check-out of"},
                 {MOVEMENT_CHECK_IN, "check-in of"},
                 {MOVEMENT_LEND, "lending of"},
                 {MOVEMENT_JOB_END, "end of a job"},
                 {MOVEMENT_JOB_TICKET, "start of"},
                 {MOVEMENT_JOB_START, "start of"},
                 {MOVEMENT_JOB_PLAN, "plan of"},
                 {MOVEMENT_JOB_DROP, "withdrawal of the plan of"},
                 {MOVEMENT_INSPECTION, "inspection of"},
                 {MOVEMENT_RECEIPT, "receipt of"},
                 {MOVEMENT_TAKE_ON, "take-on of"},
                 {MOVEMENT_PUT_AWAY, "put-away of"},
                 {MOVEMENT_RELABEL, "a new serial for a lost label,"},
                 {MOVEMENT_RETIRE, "retirement of"},
                 {MOVEMENT_DISPOSE, "disposal of"},
                 {MOVEMENT_RESERVE, "keeping of"},
                 {MOVEMENT_UNRESERVE, "freeing of"},
                 {MOVEMENT_POUR, "pouring from"},
                 {MOVEMENT_CLEAN, "cleaning of"},
                 {MOVEMENT_WEIGHING, "amount in"},
                 {MOVEMENT_PAIR, "pairing of"},
                 {MOVEMENT_STIR, "stirring of"},
                 {MOVEMENT_SURFACE_RENEWAL, "new surface of"},
                 {MOVEMENT_LIFE_SHOWN, "life that a printer shows of"},
                 {MOVEMENT_RELEASE, "release of"},
                 {MOVEMENT_HOLD, "hold on"},
                 {MOVEMENT_DELIVERY_OPEN, "opening of a delivery"},
                 {MOVEMENT_DELIVERY_CLOSE, "closing of a delivery"},
                 {MOVEMENT_PRINT, "order of a label for", PRINT_WAITING},
                 {MOVEMENT_PRINT, "withdrawal of the label of", PRINT_WITHDRAWN},
                 {MOVEMENT_PRINT_MOVE, "moving to the front of the label of"}};
    for (size_t i = 0; i < act->count; i++)
        if (takes_back(&act->movements[i]))
            return NULL;
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++)
        for (size_t i = 0; i < act->count; i++)
            if (act->movements[i].kind == kinds[k].kind && !is_beside(act, &act->movements[i]) &&
                (kinds[k].kind != MOVEMENT_PRINT || undone_is_print(&act->movements[i], kinds[k].state))) {
                *telling = &act->movements[i];
                return kinds[k].words;
            }
    return NULL;
}

static bool person_name(struct ledger *ledger, const char *serial, char *name, size_t size, struct fault *fault)
{
    struct person person;
    bool found = false;
    if (serial[0] != '\0' && !person_load(ledger, serial, &person, &found, fault))
        return false;
    (void)span_copy(span_of(found && person.name[0] ? person.name : serial), name, size);
    return true;
}

/* " job KQ-1042", " a job" without a name: that whose ticket was printed, else the one that was planned, withdrawn,
 * started; "" when it was about no job. */
enum { JOB_WORDS_SIZE = JOB_CODE_SIZE + 8 };
static bool job_words(struct ledger *ledger, const struct movement *telling, char words[JOB_WORDS_SIZE],
                      struct fault *fault)
{
    struct builder out;
    const int64_t ticket = print_ticket_plan(telling->place);
    const bool is_job = telling->kind == MOVEMENT_JOB_PLAN || telling->kind == MOVEMENT_JOB_DROP ||
                        telling->kind == MOVEMENT_JOB_TICKET || telling->kind == MOVEMENT_JOB_START;
    struct job job = {.code = ""};
    bool found = true;
    if (ticket != MOVEMENT_NULL ? !job_plan_of_ticket(ledger, ticket, &job, fault)
                                : is_job && !job_load(ledger, telling->job, &job, &found, fault))
        return false;
    builder_init(&out, words, JOB_WORDS_SIZE);
    if (is_job || ticket != MOVEMENT_NULL)
        builder_addf(&out, " %s%s", job.code[0] ? "job " : "a job", job.code);
    return true;
}

static bool describe(struct ledger *ledger, const struct undone_act *act, char *sentence, size_t size,
                     struct fault *fault)
{
    const struct movement *telling = NULL;
    const char *words = act_words(act, &telling);
    sentence[0] = '\0';
    if (!words)
        return true;
    char name[NAME_SIZE], job[JOB_WORDS_SIZE];
    if (!person_name(ledger, telling->person, name, sizeof name, fault) || !job_words(ledger, telling, job, fault))
        return false;
    size_t same = 0;
    for (size_t i = 0; i < act->count; i++)
        same += act->movements[i].kind == telling->kind && !is_beside(act, &act->movements[i]);
    struct builder out;
    builder_init(&out, sentence, size);
    builder_addf(&out, "%s%s%s", name, name[0] ? ": " : "", words);
    if (same > 1)
        builder_addf(&out, act->cut ? " over %zu things" : " %zu things", same);
    else if (job[0] != '\0')
        builder_add(&out, job);
    else if (telling->unit[0] != '\0' || telling->kind == MOVEMENT_PRINT || telling->kind == MOVEMENT_PRINT_MOVE)
        builder_addf(&out, " %s", telling->unit[0] != '\0' ? telling->unit : telling->place);
    if (telling->printer[0] != '\0')
        builder_addf(&out, " (%s)", telling->printer);
    text_end_whole(sentence);
    return true;
}

/* Leaves `*row` null when the act can't be taken back. */
static bool offer(struct ledger *ledger, const char *id, json_t **row, struct fault *fault)
{
    struct undone_act act;
    char sentence[160];
    if (!undone_act_load(ledger, id, UNDONE_ACT_TOLD, &act, fault))
        return false;
    const bool done = describe(ledger, &act, sentence, sizeof sentence, fault);
    free(act.movements);
    if (done && sentence[0] != '\0')
        *row = json_pack("{s:s,s:s}", "act", id, "sentence", sentence);
    return done;
}

bool undo_view(struct ledger *ledger, const char *counter, const char *act_now, json_t **row, struct fault *fault)
{
    *row = json_null();
    if (counter[0] == '\0')
        return true;
    if (act_now[0] != '\0' && !offer(ledger, act_now, row, fault))
        return false;
    if (!json_is_null(*row))
        return true;
    struct act_row last;
    bool found;
    return act_row_last(ledger, counter, &last, &found, fault) && (!found || offer(ledger, last.id, row, fault));
}

/* Of another person than the one who takes it back. Nobody in particular takes back what was done last where they
 * stand: the counter signs out by itself when a group is closed. */
static bool is_anothers(const struct turn *turn, const struct undone_act *act)
{
    return act->count > 0 && turn->person[0] != '\0' && act->movements[0].person[0] != '\0' &&
           strcmp(act->movements[0].person, turn->person) != 0;
}

static bool undo(struct turn *turn, const char *id, struct fault *fault)
{
    struct act_row row;
    struct undone_act act;
    bool found;
    char sentence[160];
    if (!act_row_find(turn->ledger, id, &row, NULL, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "act '%s' is not known: nothing to undo", id);
    if (!undone_act_load(turn->ledger, id, UNDONE_ACT_MOST, &act, fault))
        return false;
    bool done = describe(turn->ledger, &act, sentence, sizeof sentence, fault);
    if (done && (act.count == 0 || act.cut || sentence[0] == '\0'))
        done = fault_set(fault, FAULT_REFUSED, "that act can't be taken back: enter it anew the right way");
    if (done && row.undone)
        done = fault_set(fault, FAULT_REFUSED, "that act was taken back already");
    done = done && undone_act_may(turn, &act, fault) &&
           (!is_anothers(turn, &act) || turn_approve(turn, "approves taking back what another person did", fault)) &&
           undone_act_take_back(turn, &act, fault) && act_row_mark_undone(turn->ledger, id, fault);
    free(act.movements);
    if (!done)
        return false;
    counter_clear_group(&turn->counter);
    turn->counter.carton.booked = 0; /* the carton it was received with may be taken back */
    counter_say(&turn->counter, "Taken back: %s.", sentence);
    return true;
}

/* A refusal is a sentence on the screen, not a failed act. */
static bool undo_or_say(struct turn *turn, const char *id, struct fault *fault)
{
    struct fault why = {0};
    if (undo(turn, id, &why))
        return true;
    if (why.code != FAULT_REFUSED && why.code != FAULT_MISSING) {
        if (fault)
            *fault = why;
        return false;
    }
    if (turn->booked) { /* half of it is in the savepoint: let the writer roll it back */
        if (fault)
            *fault = why;
        return false;
    }
    counter_object(&turn->counter, REASON_UNREADABLE, "", "Not taken back: %s.", why.text);
    return true;
}

bool undo_card(struct turn *turn, struct fault *fault)
{
    struct act_row last;
    bool found;
    if (!turn_may_here(turn, "undo"))
        return true;
    if (!act_row_last(turn->ledger, turn->counter.name, &last, &found, fault))
        return false;
    if (!found) {
        counter_note(&turn->counter, "There is nothing to undo at this counter.");
        return true;
    }
    struct undone_act act;
    char sentence[160];
    if (!undone_act_load(turn->ledger, last.id, UNDONE_ACT_TOLD, &act, fault))
        return false;
    const bool anothers = is_anothers(turn, &act);
    const bool done = describe(turn->ledger, &act, sentence, sizeof sentence, fault);
    free(act.movements);
    if (!done)
        return false;
    if (!anothers || sentence[0] == '\0')
        return undo_or_say(turn, last.id, fault);
    turn_copy(turn->counter.undo_asked, sizeof turn->counter.undo_asked, last.id);
    counter_ask(&turn->counter, "Take back what another person did? %s.", sentence);
    return true;
}

bool undo_confirm(struct turn *turn, struct fault *fault)
{
    char id[ACT_ID_SIZE];
    turn_copy(id, sizeof id, turn->counter.undo_asked);
    if (!turn_may_here(turn, "undo"))
        return true;
    if (turn->act->act->approver[0] == '\0' && strcmp(turn->act->act->kind, "scan") == 0) { /* a card has no PIN */
        counter_ask(&turn->counter, "A storekeeper approves this: press the key Yes on the page, and give the PIN.");
        return true;
    }
    turn->counter.undo_asked[0] = '\0';
    return undo_or_say(turn, id, fault);
}

bool undo_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"act", NULL};
    struct turn turn;
    char id[ACT_ID_SIZE];
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_text(context->act->content, "act", CONTENT_OPTIONAL, id, sizeof id, fault))
        return false;
    if (id[0] == '\0') {
        struct act_row last;
        bool found;
        if (!act_row_last(turn.ledger, turn.counter.name, &last, &found, fault))
            return false;
        if (!found)
            return fault_set(fault, FAULT_MISSING, "there is nothing to undo at this counter");
        turn_copy(id, sizeof id, last.id);
    }
    return undo(&turn, id, fault) && turn_answer(&turn, answer, fault);
}
