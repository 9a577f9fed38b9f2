#include "kiosk/rules/print_trend.h"

#include "labels/basics/text.h"

/* `worse`: 1 when a smaller number is worse, -1 when a larger one is, 0 when any change is. */
static const struct {
    const char *name, *help;
    int worse;
    int64_t step;  /* so much from the baseline's is drift; 0: never judged */
    int64_t least; /* one label: below this it is better printed again; 0: no limit */
} numbers[PRINT_NUMBERS] = {
    [PRINT_MODULATION] = {"modulation", "look at focus and light of the pictures first, then clean the head", 1, 150,
                          400},
    [PRINT_MARGIN] = {"reflectance margin", "clean the head, look for specks and creases of the ribbon", 1, 200, 0},
    [PRINT_UNUSED] = {"unused error correction", "clean the head, look for specks and creases of the ribbon", 1, 200,
                      750},
    [PRINT_FIXED] = {"the fixed pattern's level", "a light line through it: clean the head", 1, 1000, 3000},
    [PRINT_GRID] = {"grid non-uniformity", "look at the roller and the ribbon's tension", -1, 120, 0},
    [PRINT_AXIAL] = {"axial non-uniformity", "", -1, 0, 0},
    [PRINT_GROWTH_X] = {"print growth across", "change the darkness by one step", 0, 100, 0},
    [PRINT_GROWTH_Y] = {"print growth along", "change the darkness or the speed by one step", 0, 100, 0},
    [PRINT_CONTRAST] = {"contrast", "", 1, 0, 0},
};

const char *print_trend_name(enum print_number number)
{
    return numbers[number].name;
}

/* Of the known values among at most PRINT_TREND_LOOKS; PRINT_NOT_MEASURED when fewer than half are known. */
static int64_t median(const struct print_numbers *looks, enum print_number number)
{
    int64_t list[PRINT_TREND_LOOKS];
    size_t count = 0;
    for (size_t i = 0; i < PRINT_TREND_LOOKS; i++) {
        const int64_t value = looks[i].at[number];
        size_t place = count;
        if (value == PRINT_NOT_MEASURED)
            continue;
        for (; place > 0 && list[place - 1] > value; place--)
            list[place] = list[place - 1];
        list[place] = value;
        count++;
    }
    if (count * 2 < PRINT_TREND_LOOKS)
        return PRINT_NOT_MEASURED;
    return count % 2 ? list[count / 2] : (list[count / 2 - 1] + list[count / 2]) / 2;
}

/* How far it went the wrong way, in hundredths of the step that is too far. */
static int64_t gone(const struct print_trend *trend, enum print_number number)
{
    const int64_t before = trend->baseline.at[number], now = trend->now.at[number];
    if (numbers[number].step == 0 || before == PRINT_NOT_MEASURED || now == PRINT_NOT_MEASURED)
        return 0;
    const int64_t change = before - now;
    const int64_t bad = numbers[number].worse == 0 ? (change < 0 ? -change : change) : change * numbers[number].worse;
    return bad * 100 / numbers[number].step;
}

static void add_thousandths(struct builder *out, int64_t value)
{
    const int64_t hundredths = ((value < 0 ? -value : value) + 5) / 10;
    builder_addf(out, "%s%lld.%02lld", value < 0 ? "-" : "", (long long)(hundredths / 100),
                 (long long)(hundredths % 100));
}

static void say(struct print_trend *trend)
{
    struct builder out;
    builder_init(&out, trend->text, sizeof trend->text);
    if (!trend->known) {
        builder_addf(&out, "Photograph %zu more label%s of this printer: then its trend can be told.", trend->missing,
                     trend->missing == 1 ? "" : "s");
        return;
    }
    if (trend->drifted == PRINT_NUMBERS) {
        builder_add(&out, "It prints as it did when its baseline was taken.");
        return;
    }
    builder_addf(&out, "It does not print as it did: %s went from ", numbers[trend->drifted].name);
    add_thousandths(&out, trend->baseline.at[trend->drifted]);
    builder_add(&out, " to ");
    add_thousandths(&out, trend->now.at[trend->drifted]);
    builder_addf(&out, ". What usually helps: %s.", numbers[trend->drifted].help);
}

void print_trend_make(const struct print_numbers *first, size_t first_count, const struct print_numbers *newest,
                      size_t newest_count, struct print_trend *trend)
{
    const size_t have_first = first_count < PRINT_TREND_LOOKS ? first_count : PRINT_TREND_LOOKS;
    const size_t have_newest = newest_count < PRINT_TREND_LOOKS ? newest_count : PRINT_TREND_LOOKS;
    int64_t most = 99;
    *trend = (struct print_trend){.drifted = PRINT_NUMBERS};
    trend->missing = 2 * PRINT_TREND_LOOKS - have_first - have_newest;
    trend->known = trend->missing == 0;
    for (enum print_number i = 0; i < PRINT_NUMBERS; i++) {
        trend->baseline.at[i] = have_first == PRINT_TREND_LOOKS ? median(first, i) : PRINT_NOT_MEASURED;
        trend->now.at[i] = have_newest == PRINT_TREND_LOOKS ? median(newest, i) : PRINT_NOT_MEASURED;
        if (gone(trend, i) > most) {
            most = gone(trend, i);
            trend->drifted = i;
        }
    }
    say(trend);
}

enum print_number print_trend_below(const struct print_numbers *look)
{
    for (enum print_number i = 0; i < PRINT_NUMBERS; i++)
        if (look->at[i] != PRINT_NOT_MEASURED && look->at[i] < numbers[i].least)
            return i;
    return PRINT_NUMBERS;
}
