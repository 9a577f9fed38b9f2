#include "kiosk/rules/job_need.h"

#include "kiosk/rules/enough.h"

enum { UL_A_ML = 1000, ARENA_BYTES = 2048 };

static const double SHARE_KNOWN = 0.02, SHARE_ESTIMATED = 0.10, SHARE_NEED = 0.05, LEVEL = 0.95;

static double ml(int64_t ul)
{
    return (double)ul / UL_A_ML;
}

/* The normal distribution's 0.95 quantile. */
static const double ONE_SIDED = 1.6449;

int64_t job_need_sure_ml(int64_t amount_ul, bool estimated)
{
    return (int64_t)floor(ml(amount_ul) * (1 - ONE_SIDED * (estimated ? SHARE_ESTIMATED : SHARE_KNOWN)));
}

int64_t job_need_most_ml(int64_t need_ul)
{
    return (int64_t)ceil(ml(need_ul) * (1 + ONE_SIDED * SHARE_NEED));
}

/* Anything from nothing to full: half of it, with the standard uncertainty of a rectangle (JCGM 100:2008, 4.3.7). */
static void add_unknown(const struct job_need_vessel *vessel, double *volume, double *variance)
{
    const double full = ml(vessel->full_ul);
    *volume += full / 2;
    *variance += full * full / 12;
}

static void add_known(const struct job_need_vessel *vessel, double *volume, double *variance)
{
    const double u = ml(vessel->amount_ul) * (vessel->estimated ? SHARE_ESTIMATED : SHARE_KNOWN);
    *volume += ml(vessel->amount_ul);
    *variance += u * u;
}

/* `*bounded` false: one of them may hold any amount. */
static struct enough_case sum(const struct job_need_case *asked, bool *bounded)
{
    double volume = 0, variance = 0;
    *bounded = true;
    for (size_t i = 0; i < asked->count; i++) {
        const struct job_need_vessel *vessel = &asked->vessels[i];
        if (vessel->amount_ul != JOB_NEED_UNKNOWN)
            add_known(vessel, &volume, &variance);
        else if (vessel->full_ul != JOB_NEED_UNKNOWN)
            add_unknown(vessel, &volume, &variance);
        else
            *bounded = false;
    }
    return (struct enough_case){.volume_ml = volume,
                                .u_ml = sqrt(variance),
                                .need_ml = ml(asked->need_ul),
                                .need_u_ml = RULE_NULL,
                                .need_share = SHARE_NEED,
                                .level = LEVEL,
                                .no_level = 1 - LEVEL};
}

void job_need_judge(const struct job_need_case *asked, struct verdict_list *list)
{
    _Alignas(max_align_t) unsigned char memory[ARENA_BYTES];
    struct arena arena;
    struct enough_answer answer;
    struct rule_fault fault;
    bool bounded;
    const struct enough_case question = sum(asked, &bounded);
    arena_init(&arena, memory, sizeof memory);
    if (!enough(&question, &arena, &answer, &fault) || answer.verdict == ENOUGH_YES)
        return;
    if (answer.verdict == ENOUGH_NO && bounded)
        verdict_add(list, REASON_TOO_LITTLE, asked->printer,
                    "The job needs %.0f ml; vat and cartridges of %s hold %.0f ml by the books.", question.need_ml,
                    asked->printer_name, question.volume_ml);
    else if (bounded)
        verdict_add(list, REASON_PERHAPS_TOO_LITTLE, asked->printer,
                    "The job needs %.0f ml; whether what %s has is enough is not sure (%.0f %%).", question.need_ml,
                    asked->printer_name, 100 * answer.p_enough);
    else
        verdict_add(list, REASON_PERHAPS_TOO_LITTLE, asked->printer,
                    "The job needs %.0f ml; how much %s has, nobody knows.", question.need_ml, asked->printer_name);
}
