#include "labels/reading/decodation.h"

#include <string.h>

#include "labels/reading/eci.h"

enum { GS = 29, RS = 30, EOT = 4 };
enum codeword { /* ISO/IEC 16022:2006, Table 2 */
                LAST_ASCII = 128,
                PAD = 129,
                FIRST_PAIR = 130,
                LAST_PAIR = 229,
                LATCH_C40 = 230,
                LATCH_BASE_256 = 231,
                FNC1 = 232,
                STRUCTURED_APPEND = 233,
                READER_PROGRAMMING = 234,
                UPPER_SHIFT = 235,
                MACRO_05 = 236,
                MACRO_06 = 237,
                LATCH_X12 = 238,
                LATCH_TEXT = 239,
                LATCH_EDIFACT = 240,
                ECI = 241,
                UNLATCH = 254
};

struct decoder {
    const uint8_t *word;
    size_t count, at; /* `at`: the next codeword to read */
    size_t start;     /* the first one behind structured append */
    struct reader_symbol *out;
    int fnc1_place; /* 0 none, 1 first, 2 second */
    bool macro;
    bool finished; /* a pad was met */
};

static size_t words_left(const struct decoder *in)
{
    return in->count - in->at;
}

static bool emit(struct decoder *in, int byte)
{
    if (in->out->length >= sizeof in->out->bytes)
        return false;
    in->out->bytes[in->out->length++] = (uint8_t)byte;
    return true;
}

static bool emit_text(struct decoder *in, const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (!emit(in, text[i]))
            return false;
    return true;
}

static int present_eci(const struct reader_symbol *out)
{
    return out->segment_count > 0 && out->segment_count <= READER_SEGMENTS ? out->segments[out->segment_count - 1].eci
                                                                           : -1;
}

/* A segment without a byte gives its place to the one that follows. */
static void begin_segment(struct decoder *in, int eci)
{
    struct reader_symbol *out = in->out;
    if (out->segment_count > READER_SEGMENTS)
        return;
    if (out->segment_count > 0 && out->segments[out->segment_count - 1].start == out->length)
        out->segment_count--;
    if (out->segment_count < READER_SEGMENTS)
        out->segments[out->segment_count] = (struct reader_segment){out->length, eci};
    out->segment_count++;
}

/* FNC1 is a codeword of the symbology, not a character of the set in force. */
static bool emit_separator(struct decoder *in)
{
    const int eci = present_eci(in->out);
    if (!eci_is_wide(eci))
        return emit(in, GS);
    begin_segment(in, -1);
    const bool good = emit(in, GS);
    begin_segment(in, eci);
    return good;
}

/* C40 and Text, ISO/IEC 16022:2006, 5.2.5 and 5.2.6, Table C.1 and C.2. */
struct shift_state {
    int set;    /* 0 basic, 1 to 3 shifted for one value */
    bool upper; /* add 128 to the next character */
};

static bool emit_shifted(struct decoder *in, struct shift_state *shift, int byte)
{
    const int whole = byte + (shift->upper ? 128 : 0);
    *shift = (struct shift_state){0};
    return emit(in, whole);
}

/* Shift 2: punctuation, FNC1, upper shift. */
static bool read_shift_2(struct decoder *in, struct shift_state *shift, int value)
{
    if (value <= 14)
        return emit_shifted(in, shift, 33 + value);
    if (value <= 21)
        return emit_shifted(in, shift, 58 + value - 15);
    if (value <= 26)
        return emit_shifted(in, shift, 91 + value - 22);
    if (value == 27 && !shift->upper) {
        shift->set = 0;
        return emit_separator(in);
    }
    if (value != 30 || shift->upper)
        return false;
    *shift = (struct shift_state){.upper = true};
    return true;
}

static bool read_c40_value(struct decoder *in, struct shift_state *shift, int value, bool text)
{
    const int letter = text ? 'a' : 'A';
    switch (shift->set) {
    case 0:
        if (value < 3)
            shift->set = value + 1;
        else
            return emit_shifted(in, shift, value == 3 ? ' ' : value < 14 ? '0' + value - 4 : letter + value - 14);
        return true;
    case 1:
        return value < 32 && emit_shifted(in, shift, value);
    case 2:
        return read_shift_2(in, shift, value);
    default:
        if (value > 31)
            return false;
        return emit_shifted(in, shift, text && value >= 1 && value <= 26 ? 'A' + value - 1 : 96 + value);
    }
}

static bool emit_x12(struct decoder *in, int value)
{
    static const char first[] = {'\r', '*', '>', ' '};
    return emit(in, value < 4 ? first[value] : value < 14 ? '0' + value - 4 : 'A' + value - 14);
}

/* C40, Text and X12: three values in two codewords, until an unlatch or until fewer than two codewords are left (a
 * single last one is in ASCII without unlatch). */
static bool read_triples(struct decoder *in, int latch)
{
    struct shift_state shift = {0};
    while (words_left(in) >= 2 && in->word[in->at] != UNLATCH) {
        const int packed = in->word[in->at] * 256 + in->word[in->at + 1] - 1;
        const int values[3] = {packed / 1600, packed / 40 % 40, packed % 40};
        if (packed < 0 || values[0] > 39)
            return false;
        for (int i = 0; i < 3; i++)
            if (!(latch == LATCH_X12 ? emit_x12(in, values[i])
                                     : read_c40_value(in, &shift, values[i], latch == LATCH_TEXT)))
                return false;
        in->at += 2;
    }
    if (words_left(in) >= 1 && in->word[in->at] == UNLATCH)
        in->at++;
    return shift.set <= 1 && !shift.upper; /* a hanging shift 1 is the fill of the last triple (5.2.5.2) */
}

/* EDIFACT: four values in three codewords. Two or fewer left are in ASCII without unlatch (5.2.8.2). */
static bool read_edifact(struct decoder *in)
{
    while (words_left(in) >= 3) {
        const uint32_t packed =
            (uint32_t)in->word[in->at] << 16 | (uint32_t)in->word[in->at + 1] << 8 | in->word[in->at + 2];
        for (int i = 0; i < 4; i++) {
            const int value = packed >> (18 - 6 * i) & 63;
            if (value == 31) { /* unlatch: the rest of its codeword is fill */
                in->at += (size_t)(6 * (i + 1) + 7) / 8;
                return true;
            }
            if (!emit(in, value < 32 ? value + 64 : value))
                return false;
        }
        in->at += 3;
    }
    return true;
}

/* The next codeword freed of the 255-state randomising (Annex B.2); the caller has checked that there is one. */
static int next_base_256(struct decoder *in)
{
    const int place = (int)in->at + 1;
    return (in->word[in->at++] - (149 * place % 255 + 1) + 256) % 256;
}

static bool read_base_256(struct decoder *in)
{
    if (words_left(in) < 1)
        return false;
    size_t length = (size_t)next_base_256(in);
    if (length == 0) { /* to the end of the symbol */
        length = words_left(in);
    } else if (length > 249) {
        if (words_left(in) < 1)
            return false;
        const size_t rest = (size_t)next_base_256(in);
        if (rest > 249)
            return false;
        length = 250 * (length - 249) + rest;
    }
    if (length > words_left(in))
        return false;
    while (length-- > 0)
        if (!emit(in, next_base_256(in)))
            return false;
    return true;
}

/* ECI assignment number, 1 to 3 codewords (Table 6). */
static bool read_eci(struct decoder *in)
{
    if (words_left(in) < 1)
        return false;
    const int first = in->word[in->at++];
    const size_t more = first <= 127 ? 0 : first <= 191 ? 1 : 2;
    if (first == 0 || first > 207 || words_left(in) < more)
        return false;
    int number = first <= 127 ? first - 1 : first - (more == 1 ? 128 : 192);
    for (size_t i = 0; i < more; i++) {
        const int word = in->word[in->at++];
        if (word < 1 || word > 254)
            return false;
        number = number * 254 + word - 1;
    }
    number += more == 1 ? 127 : more == 2 ? 16383 : 0;
    if (number > 999999)
        return false;
    if (in->out->eci < 0)
        in->out->eci = number;
    begin_segment(in, number);
    return true;
}

/* Three more codewords: place and count in one, two of file identification (5.6). */
static bool read_structured_append(struct decoder *in)
{
    if (in->at != 1 || words_left(in) < 3)
        return false;
    const int sequence = in->word[1], first = in->word[2], second = in->word[3];
    const int index = (sequence >> 4) + 1, total = 17 - (sequence & 15);
    if (total > 16 || index > total || first < 1 || first > 254 || second < 1 || second > 254)
        return false;
    in->out->structured_index = index;
    in->out->structured_total = total;
    in->out->structured_file = first << 8 | second;
    in->at += 3;
    in->start = in->at;
    return true;
}

/* Does the codeword before say what an application indicator in second place must be: a letter or two digits? */
static bool is_indicator(uint8_t word)
{
    return (word >= FIRST_PAIR && word <= LAST_PAIR) || (word >= 'A' + 1 && word <= 'Z' + 1) ||
           (word >= 'a' + 1 && word <= 'z' + 1);
}

static bool read_fnc1(struct decoder *in)
{
    const size_t place = in->at - 1 - in->start;
    if (place == 0)
        in->fnc1_place = 1;
    else if (place == 1 && is_indicator(in->word[in->at - 2]))
        in->fnc1_place = 2;
    else
        return emit_separator(in);
    return true;
}

static bool read_macro(struct decoder *in, const char *header)
{
    in->macro = true;
    return in->at == 1 && emit_text(in, header, 7);
}

static bool read_function(struct decoder *in, int word)
{
    switch (word) {
    case PAD:
        in->finished = true;
        return true;
    case LATCH_C40:
    case LATCH_TEXT:
    case LATCH_X12:
        return read_triples(in, word);
    case LATCH_EDIFACT:
        return read_edifact(in);
    case LATCH_BASE_256:
        return read_base_256(in);
    case FNC1:
        return read_fnc1(in);
    case STRUCTURED_APPEND:
        return read_structured_append(in);
    case READER_PROGRAMMING:
        in->out->reader_programming = true;
        return in->at == 1;
    case MACRO_05:
        return read_macro(in, "[)>\x1E"
                              "05\x1D");
    case MACRO_06:
        return read_macro(in, "[)>\x1E"
                              "06\x1D");
    case ECI:
        return read_eci(in);
    default: /* 0 and 242 to 255 */
        return false;
    }
}

static bool read_ascii(struct decoder *in)
{
    int word = in->word[in->at++];
    if (word >= 1 && word <= LAST_ASCII)
        return emit(in, word - 1);
    if (word >= FIRST_PAIR && word <= LAST_PAIR)
        return emit(in, '0' + (word - FIRST_PAIR) / 10) && emit(in, '0' + (word - FIRST_PAIR) % 10);
    if (word != UPPER_SHIFT)
        return read_function(in, word);
    if (words_left(in) < 1)
        return false;
    word = in->word[in->at++];
    return word >= 1 && word <= LAST_ASCII && emit(in, word - 1 + 128);
}

static bool read_macro_trailer(struct decoder *in)
{
    if (in->out->segment_count > 0)
        begin_segment(in, -1);
    return emit_text(in, "\x1E\x04", 2);
}

bool decodation_read(const uint8_t *codewords, size_t count, struct reader_symbol *symbol)
{
    struct reader_symbol fresh; /* only the fields of decodation are used; bytes are set as they come */
    fresh.length = 0;
    fresh.eci = -1;
    fresh.segment_count = 0;
    fresh.structured_index = fresh.structured_total = fresh.structured_file = 0;
    fresh.reader_programming = false;
    struct decoder in = {.word = codewords, .count = count, .out = &fresh};
    while (!in.finished && in.at < count)
        if (!read_ascii(&in))
            return false;
    if (fresh.length == 0 || (in.macro && !read_macro_trailer(&in)))
        return false;

    memcpy(symbol->bytes, fresh.bytes, fresh.length);
    symbol->length = fresh.length;
    symbol->eci = fresh.eci;
    const size_t kept = fresh.segment_count < READER_SEGMENTS ? fresh.segment_count : READER_SEGMENTS;
    memcpy(symbol->segments, fresh.segments, kept * sizeof *fresh.segments);
    symbol->segment_count = fresh.segment_count;
    symbol->structured_index = fresh.structured_index;
    symbol->structured_total = fresh.structured_total;
    symbol->structured_file = fresh.structured_file;
    symbol->reader_programming = fresh.reader_programming;
    memcpy(symbol->symbology, "]d1", sizeof symbol->symbology); /* ISO/IEC 15424: 1 to 3, with ECI 4 to 6 */
    symbol->symbology[2] = (char)('1' + in.fnc1_place + (fresh.eci >= 0 ? 3 : 0));
    return true;
}
