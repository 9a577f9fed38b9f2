#include "kiosk/rules/mix.h"

#include "kiosk/rules/mix_book.h"

static const struct mix_share *shares_of(const struct mix_book *book, const struct mix_vessel *vessel)
{
    struct mix_share *shares = arena_take(book->arena, vessel->count, sizeof *shares);
    for (uint32_t i = 0; shares && i < vessel->count; i++) {
        const struct mix_part *part = &vessel->parts[i];
        shares[i] = (struct mix_share){book->lots.sorted[part->lot].text, part->ml,
                                       vessel->total > 0 ? part->ml / vessel->total : 0};
    }
    return shares;
}

/* Never an average: the oldest drop rules the whole vat. */
static struct day expiry_of(const struct mix_book *book, const struct mix_vessel *vessel, struct day open_until)
{
    struct day expires = RULE_NO_DAY;
    if (vessel->count > 0)
        expires = open_until;
    for (uint32_t i = 0; i < vessel->count; i++) {
        const struct day day = book->asked->lots[book->lots.sorted[vessel->parts[i].lot].index].expires;
        if (!rule_has_day(expires) || day.number < expires.number)
            expires = day;
    }
    return expires;
}

/* Of containers, or of jobs (`containers` NULL). */
static const struct mix_holder *list_holders(const struct mix_book *book, const struct names *names,
                                             const struct mix_vessel *vessels, const struct mix_container *containers)
{
    struct mix_holder *list = arena_take(book->arena, names->count, sizeof *list);
    for (size_t i = 0; list && i < names->count; i++) {
        const struct name *name = &names->sorted[i];
        list[i] = (struct mix_holder){name->text, vessels[i].total, RULE_NO_DAY, shares_of(book, &vessels[i]),
                                      vessels[i].count};
        if (containers)
            list[i].expires = expiry_of(book, &vessels[i], containers[name->index].open_until);
        if (!list[i].shares)
            return NULL;
    }
    return list;
}

static const struct mix_balance *list_balance(const struct mix_book *book)
{
    struct mix_balance *list = arena_take(book->arena, book->lots.count, sizeof *list);
    for (size_t i = 0; list && i < book->lots.count; i++)
        list[i] =
            (struct mix_balance){book->lots.sorted[i].text, book->received[i], 0, book->used_up[i], book->wasted[i]};
    for (size_t i = 0; list && i < book->containers.count; i++)
        for (uint32_t k = 0; k < book->held[i].count; k++)
            list[book->held[i].parts[k].lot].held_ml += book->held[i].parts[k].ml;
    return list;
}

static const char *sentence_of(const struct mix_answer *answer, struct arena *arena)
{
    const struct mix_holder *first = NULL;
    double held = 0, used = 0;
    char date[CALENDAR_DATE_SIZE];
    for (size_t i = 0; i < answer->container_count; i++) {
        const struct mix_holder *one = &answer->containers[i];
        held += one->total_ml;
        if (one->total_ml > 0 && rule_has_day(one->expires) && (!first || one->expires.number < first->expires.number))
            first = one;
    }
    for (size_t i = 0; i < answer->job_count; i++)
        used += answer->jobs[i].total_ml;
    if (!first)
        return rule_text(arena, "All containers are empty; jobs used %.0f ml.", used);
    return rule_text(arena, "%.0f ml are held and %.0f ml went into jobs; the first to be used up is %s, by %s.", held,
                     used, first->id, calendar_write_date(first->expires, date));
}

bool mix(const struct mix_case *asked, struct arena *arena, struct mix_answer *answer, struct rule_fault *fault)
{
    struct mix_book book;
    if (!mix_book_play(&book, asked, arena, fault))
        return false;
    *answer = (struct mix_answer){.said = {.method = "perfect mixing, event by event"},
                                  .containers = list_holders(&book, &book.containers, book.held, asked->containers),
                                  .container_count = book.containers.count,
                                  .jobs = list_holders(&book, &book.jobs, book.used, NULL),
                                  .job_count = book.jobs.count,
                                  .balance = list_balance(&book),
                                  .balance_count = book.lots.count};
    if (!answer->containers || !answer->jobs || !answer->balance)
        return rule_fault_memory(fault);
    answer->said.sentence = sentence_of(answer, arena);
    return true;
}
