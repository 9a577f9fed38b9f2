#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/content/bracketed_string.h"
#include "labels/content/check_character.h"
#include "labels/content/digital_link.h"
#include "labels/content/element_string.h"

/* The same elements as a scanner sends them, as a person types them and as a web address: three parsers, one answer.
 * The three are written here, by the General Specifications and the Digital Link Standard, from pairs of text. */

#define GS "\x1d"
enum { PAIRS = 8, FORM_SIZE = 2048 };

struct pairs {
    size_t count;
    struct {
        char ai[AI_SIZE], value[128];
    } pairs[PAIRS];
};

struct forms {
    char scanned[FORM_SIZE], typed[FORM_SIZE], link[FORM_SIZE];
    bool has_link; /* it begins with a key */
};

static struct day today(void)
{
    return calendar_day(2026, 2, 14);
}

static const struct application_identifier *kind_of(const char *ai)
{
    size_t length;
    const struct application_identifier *const kind = application_identifier_find(span_of(ai), &length);
    assert_non_null(kind);
    return kind;
}

/* General Specifications: a separator after what is not of predefined length, unless it is the last. */
static void write_scanned(const struct pairs *from, char text[FORM_SIZE])
{
    struct builder out;
    builder_init(&out, text, FORM_SIZE);
    for (size_t i = 0; i < from->count; i++)
        builder_addf(&out, "%s%s%s", from->pairs[i].ai, from->pairs[i].value,
                     i + 1 < from->count && !kind_of(from->pairs[i].ai)->predefined ? GS : "");
    assert_false(out.cut);
}

static void write_typed(const struct pairs *from, char text[FORM_SIZE])
{
    struct builder out;
    builder_init(&out, text, FORM_SIZE);
    for (size_t i = 0; i < from->count; i++)
        builder_addf(&out, "(%s)%s", from->pairs[i].ai, from->pairs[i].value);
    assert_false(out.cut);
}

/* RFC 3986, 2.3: what needs no percent encoding. */
static void add_encoded(struct builder *out, const char *value)
{
    static const char plain[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~";
    for (; *value; value++)
        builder_addf(out, strchr(plain, *value) ? "%c" : "%%%02X", *value);
}

static bool has(const struct pairs *pairs, const char *ai)
{
    for (size_t i = 0; i < pairs->count; i++)
        if (strcmp(pairs->pairs[i].ai, ai) == 0)
            return true;
    return false;
}

/* The qualifiers of `from`'s key in the order of the standard; `used` says which pairs stand in the path then. */
static void add_qualifiers(struct builder *out, const struct pairs *from, const char *order, bool used[PAIRS])
{
    for (const char *at = order; *at; at += strcspn(at, ",") + (at[strcspn(at, ",")] ? 1 : 0))
        for (size_t i = 1; i < from->count; i++)
            if (strlen(from->pairs[i].ai) == strcspn(at, ",") &&
                strncmp(at, from->pairs[i].ai, strcspn(at, ",")) == 0) {
                builder_addf(out, "/%s/", from->pairs[i].ai);
                add_encoded(out, from->pairs[i].value);
                used[i] = true;
            }
}

static bool write_link(const struct pairs *from, char text[FORM_SIZE])
{
    static const struct {
        const char *key, *order;
    } keys[] = {{"00", ""},       {"01", "22,10,21"}, {"8003", ""},     {"8004", ""},
                {"8010", "8011"}, {"8013", ""},       {"253", ""},      {"255", ""},
                {"414", "254"},   {"8017", "8019"},   {"8018", "8019"}, {"8006", "22,10,21"}};
    struct builder out;
    builder_init(&out, text, FORM_SIZE);
    for (size_t k = 0; k < sizeof keys / sizeof *keys; k++) {
        bool used[PAIRS] = {true};
        const char *before = "?";
        if (strcmp(keys[k].key, from->pairs[0].ai) != 0)
            continue;
        builder_addf(&out, "https://id.gs1.org/%s/", from->pairs[0].ai);
        add_encoded(&out, from->pairs[0].value);
        add_qualifiers(&out, from, k == 1 && has(from, "235") && !has(from, "21") ? "235" : keys[k].order, used);
        for (size_t i = 1; i < from->count; i++) {
            if (used[i])
                continue;
            builder_addf(&out, "%s%s=", before, from->pairs[i].ai);
            add_encoded(&out, from->pairs[i].value);
            before = "&";
        }
        assert_false(out.cut);
        return true;
    }
    return false;
}

static void write_forms(const struct pairs *from, struct forms *forms)
{
    write_scanned(from, forms->scanned);
    write_typed(from, forms->typed);
    forms->has_link = write_link(from, forms->link);
}

enum outcome { FINE, MISSING, INVALID, REFUSED };

static enum outcome outcome_of(bool read, const struct element_string *elements, struct fault *fault)
{
    return read ? (enum outcome)element_string_pairs(elements, fault) : REFUSED;
}

/* The vectors hold no bracket in a value, so they can be cut without the parser under test. */
static void cut(const char *text, struct pairs *pairs)
{
    pairs->count = 0;
    while (*text) {
        const size_t digits = strcspn(text, ")") - 1, length = strcspn(text + digits + 2, "(");
        assert_true(pairs->count < PAIRS);
        assert_true(span_copy((struct span){text + 1, digits}, pairs->pairs[pairs->count].ai, AI_SIZE));
        assert_true(span_copy((struct span){text + digits + 2, length}, pairs->pairs[pairs->count].value, 128));
        text += digits + 2 + length;
        pairs->count++;
    }
}

static void check_outcome(const char *text, enum outcome expected, enum outcome outcome, const char *reason,
                          const struct fault *fault)
{
    if (outcome != expected || !strstr(fault->text, reason))
        fail_msg("%s: outcome %d, '%s'", text, outcome, fault->text);
}

/* Every row was run through the GS1 Barcode Syntax Engine (C library), those with a check digit or a date also through
 * zint 2.11.1 or bwip-js 4.11.4: no disagreement. Where a row says how a scanner sends it, or the address, that is what
 * the Syntax Engine wrote. */
static void takes_and_refuses_what_the_syntax_engine_does(void **state)
{
    static const struct {
        const char *text;
        enum outcome outcome;
        const char *reason, *scanned, *link;
    } cases[] = {
        {"(01)09501101530003(17)150119(10)AB-123", FINE, "", "01095011015300031715011910AB-123", NULL},
        {"(01)09506000134352(10)LOT2407(17)270200(21)V000123", FINE, "",
         "010950600013435210LOT2407" GS "17270200"
         "21V000123",
         "https://id.gs1.org/01/09506000134352/10/LOT2407/21/V000123?17=270200"},
        {"(01)09506000134352(11)260131(17)270131(10)L24117(21)C004217T", FINE, "",
         "010950600013435211260131"
         "17270131"
         "10L24117" GS "21C004217T",
         NULL},
        {"(01)09506000134352(17)270131(13)260131(10)L24117(21)C004217T", FINE, ""},
        {"(01)09506000134353", REFUSED, "has check digit 3, not 2"},
        {"(00)095060001343520018", REFUSED, "has check digit 8, not 7"},
        {"(00)095060001343520017", FINE, ""},
        {"(01)09506000134352(17)270229", REFUSED, "day 29"},
        {"(01)09506000134352(17)270230", REFUSED, "day 30"},
        {"(01)09506000134352(17)260431", REFUSED, "day 31"},
        {"(01)09506000134352(17)280229", FINE, ""},
        {"(01)09506000134352(17)270200", FINE, ""},
        {"(01)09506000134352(17)271300", REFUSED, "month 13"},
        {"(01)09506000134352(17)260010", REFUSED, "month 00"},
        {"(01)09506000134352(7003)2702281435", FINE, ""},
        {"(01)09506000134352(7003)2702001435", REFUSED, "day 00"},
        {"(10)LOT1", MISSING, "BATCH/LOT stands without"},
        {"(21)X", MISSING, "SERIAL stands without"},
        {"(17)270131", MISSING, "EXPIRY stands without"},
        {"(240)X", MISSING, "ADDITIONAL ID stands without"},
        {"(20)12", MISSING, "VARIANT stands without"},
        {"(01)09506000134352(37)5", INVALID, "contradict"},
        {"(01)09506000134352(02)09506000134352", INVALID, "contradict"},
        {"(01)09506000134352(3100)001250(3101)012500", INVALID, "contradict"},
        {"(01)09506000134352(21)A(235)B", INVALID, "contradict"},
        {"(255)9506000134352(01)09506000134352", INVALID, "contradict"},
        {"(90)V0001236", FINE, ""},
        {"(91)V0001236", FINE, ""},
        {"(410)9506000134352", FINE, ""},
        {"(01)09506000134352(10)123456789012345678901", REFUSED, "too long"},
        {"(01)09506000134352(30)123456789", REFUSED, "too long"},
        {"(01)09506000134352(10)A B", REFUSED, "' ' at place 2"},
        {"(01)09506000134352(10)A#B", REFUSED, "'#' at place 2"},
        {"(8010)9506000abc", REFUSED, "'a' at place 8"},
        {"(8004)9506000V0001236", FINE, ""},
        {"(8003)09506000134352A1", FINE, ""},
        {"(01)0950600013435", REFUSED, "too short"},
        {"(8013)1987654Ad4X4bL5ttr2310c2K", FINE, ""},
        {"(8013)1987654Ad4X4bL5ttr2310c2L", REFUSED, "check character pair"},
    };
    (void)state;
    _Static_assert(FINE == (int)ELEMENT_PAIRS_FINE && MISSING == (int)ELEMENT_PAIRS_MISSING &&
                       INVALID == (int)ELEMENT_PAIRS_INVALID,
                   "outcomes are those of the pairs and one more");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct pairs pairs;
        struct forms forms;
        struct element_string elements;
        char buffer[DIGITAL_LINK_SIZE];
        cut(cases[i].text, &pairs);
        write_forms(&pairs, &forms);
        assert_string_equal(forms.typed, cases[i].text);
        if (cases[i].scanned)
            assert_string_equal(forms.scanned, cases[i].scanned);
        if (cases[i].link)
            assert_string_equal(forms.link, cases[i].link);
        struct fault fault = {FAULT_NONE, ""};
        bool read = bracketed_string_read(span_of(forms.typed), today(), &elements, &fault);
        check_outcome(forms.typed, cases[i].outcome, outcome_of(read, &elements, &fault), cases[i].reason, &fault);
        fault = (struct fault){FAULT_NONE, ""};
        read = element_string_read(span_of(forms.scanned), today(), &elements, &fault);
        check_outcome(forms.scanned, cases[i].outcome, outcome_of(read, &elements, &fault), cases[i].reason, &fault);
        if (!forms.has_link)
            continue;
        fault = (struct fault){FAULT_NONE, ""};
        read = digital_link_read(span_of(forms.link), today(), buffer, &elements, &fault);
        check_outcome(forms.link, cases[i].outcome, outcome_of(read, &elements, &fault), cases[i].reason, &fault);
    }
}

/* A small generator of its own (xorshift, Marsaglia 2003), so that a failure comes again. */
static uint32_t random_below(uint32_t *seed, uint32_t below)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 17;
    *seed ^= *seed << 5;
    return *seed % below;
}

static char random_character(uint32_t *seed, char set)
{
    static const char sets[][84] = {
        "0123456789",
        "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz",
        "#-/0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ",
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_=",
    };
    const char *const members = sets[set == 'N' ? 0 : set == 'X' ? 1 : set == 'Y' ? 2 : 3];
    return members[random_below(seed, (uint32_t)strlen(members))];
}

static void end_in_pair(char *part, size_t length)
{
    static const char set[] = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
    for (const char *a = set; *a; a++)
        for (const char *b = set; *b; b++) {
            part[length - 2] = *a;
            part[length - 1] = *b;
            if (check_character_pair_ok((struct span){part, length}))
                return;
        }
    fail_msg("no pair ends '%s'", part);
}

/* A legal part: what the General Specifications ask of it, beside its length and set. */
static void write_part(uint32_t *seed, const struct ai_part *rule, struct builder *out)
{
    static const struct {
        enum ai_check check;
        const char *start;
    } starts[] = {{AI_CHECK_DATE, "280229"},   {AI_CHECK_DATE_00, "270200"},  {AI_CHECK_DATE_LONG, "20280229"},
                  {AI_CHECK_HOUR, "23"},       {AI_CHECK_SIXTY, "59"},        {AI_CHECK_TIME, "2359"},
                  {AI_CHECK_TIME_ANY, "9999"}, {AI_CHECK_ZERO, "0"},          {AI_CHECK_NOT_ZERO, "1"},
                  {AI_CHECK_MINUS, "-"},       {AI_CHECK_NO_ZERO_FIRST, "7"}, {AI_CHECK_YES_NO, "1"},
                  {AI_CHECK_OF_TOTAL, "0203"}, {AI_CHECK_OF_SEQUENCE, "1/2"}, {AI_CHECK_KEY, "9506"},
                  {AI_CHECK_PAIR, "9506"}};
    char part[128] = "";
    size_t least = rule->min;
    const bool is_key = rule->check == AI_CHECK_KEY || rule->check == AI_CHECK_PAIR;
    if (is_key && least < 7)
        least = 7; /* company, something, pair */
    const size_t length = least + random_below(seed, (uint32_t)(rule->max - least + 1));
    for (size_t i = 0; i < length; i++)
        part[i] = random_character(seed, rule->set);
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++)
        if (starts[i].check == rule->check)
            memcpy(part, starts[i].start, strlen(starts[i].start));
    if (rule->check == AI_CHECK_MOD10)
        part[length - 1] = check_character_mod10((struct span){part, length - 1});
    if (rule->check == AI_CHECK_PAIR)
        end_in_pair(part, length);
    builder_add_span(out, (struct span){part, length});
}

static void write_pair(uint32_t *seed, const struct application_identifier *row, const char *ai, struct pairs *pairs)
{
    struct builder out;
    (void)span_copy(span_of(ai), pairs->pairs[pairs->count].ai, AI_SIZE);
    builder_init(&out, pairs->pairs[pairs->count].value, sizeof pairs->pairs[0].value);
    for (size_t i = 0; i < AI_PARTS && row->parts[i].set; i++) {
        if (row->parts[i].optional && random_below(seed, 2))
            break;
        write_part(seed, &row->parts[i], &out);
    }
    pairs->count++;
}

static void demand_pairs(const char *text, const struct pairs *pairs, bool read, const struct element_string *elements,
                         const struct fault *fault)
{
    if (!read)
        fail_msg("%s: %s", text, fault->text);
    assert_int_equal(elements->count, pairs->count);
    for (size_t i = 0; i < pairs->count; i++) {
        const struct element *const found = element_string_find(elements, pairs->pairs[i].ai);
        if (!found || !span_equals(found->value, pairs->pairs[i].value))
            fail_msg("%s: (%s)%s is not there", text, pairs->pairs[i].ai, pairs->pairs[i].value);
    }
}

static void demand_same_in_three_forms(const struct pairs *pairs)
{
    struct forms forms;
    struct element_string scanned, typed, linked;
    struct fault fault = {FAULT_NONE, ""};
    char buffer[DIGITAL_LINK_SIZE];
    write_forms(pairs, &forms);
    bool read = element_string_read(span_of(forms.scanned), today(), &scanned, &fault);
    demand_pairs(forms.scanned, pairs, read, &scanned, &fault);
    read = bracketed_string_read(span_of(forms.typed), today(), &typed, &fault);
    demand_pairs(forms.typed, pairs, read, &typed, &fault);
    assert_int_equal(element_string_pairs(&scanned, NULL), element_string_pairs(&typed, NULL));
    if (!forms.has_link)
        return;
    assert_true(digital_link_starts(span_of(forms.link)));
    read = digital_link_read(span_of(forms.link), today(), buffer, &linked, &fault);
    demand_pairs(forms.link, pairs, read, &linked, &fault);
    assert_int_equal(element_string_pairs(&scanned, NULL), element_string_pairs(&linked, NULL));
}

/* General Specifications, section 3: whatever the table allows is read, in each form, beside a key and two others. */
static void every_row_of_the_table_is_the_same_in_three_forms(void **state)
{
    static const char *const keys[] = {"01", "00", "8003", "8004", "8010", "8013", "253", "414", "8018"};
    const struct application_identifier *row;
    uint32_t seed = 20260214;
    (void)state;
    for (size_t index = 0; (row = application_identifier_row(index)); index++)
        for (size_t turn = 0; turn < 40; turn++) {
            struct pairs pairs = {0};
            const char *const key = keys[random_below(&seed, sizeof keys / sizeof *keys)];
            const char *const others[] = {row->first, row->last, "21", "10"};
            write_pair(&seed, kind_of(key), key, &pairs);
            for (size_t i = turn % 2; i < sizeof others / sizeof *others; i++)
                if (!has(&pairs, others[i]))
                    write_pair(&seed, kind_of(others[i]), others[i], &pairs);
            demand_same_in_three_forms(&pairs);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(takes_and_refuses_what_the_syntax_engine_does),
        cmocka_unit_test(every_row_of_the_table_is_the_same_in_three_forms),
    };
    return cmocka_run_group_tests_name("content/gs1_forms", tests, NULL, NULL);
}
