#include "kiosk/desk/stock_list/stock_list_text.h"

#include <errno.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <iconv.h>

#define SAVE_AS_CSV "in the spreadsheet choose Save as, CSV (UTF-8)"

struct encoding {
    const char *name, *words;
    const char *iconv_name;
    bool offered; /* when it has to be asked */
};

/* Names are those of the WHATWG Encoding Standard, where it has one. */
static const struct encoding encodings[] = {
    {"windows-1252", "Western Europe (Windows)", "CP1252", true},
    {"iso-8859-15", "Western Europe (ISO)", "ISO-8859-15", true},
    {"windows-1250", "Central Europe (Windows)", "CP1250", true},
    {"windows-1251", "Cyrillic (Windows)", "CP1251", true},
    {"windows-1253", "Greek (Windows)", "CP1253", true},
    {"windows-1254", "Turkish (Windows)", "CP1254", true},
    {"macintosh", "Western Europe (old Macintosh)", "MACINTOSH", true},
    {"ibm850", "Western Europe (DOS)", "CP850", true},
    {"utf-8", "Unicode (UTF-8)", "UTF-8", false},
    {"utf-16le", "Unicode (UTF-16)", "UTF-16LE", false},
    {"utf-16be", "Unicode (UTF-16, big end first)", "UTF-16BE", false},
};
enum { ENCODINGS = sizeof encodings / sizeof *encodings, SAMPLE_WORDS = 3, WORD_BYTES = 40 };

static const struct encoding *find_encoding(const char *name)
{
    for (size_t i = 0; i < ENCODINGS; i++)
        if (strcasecmp(encodings[i].name, name) == 0)
            return &encodings[i];
    return NULL;
}

/* ---- conversion ---- */

struct conversion {
    char *at; /* malloc'd, ended with NUL */
    size_t length;
    size_t bad_at; /* byte of the source that could not be read */
    bool cut;      /* … because the source ends within a character */
};

/* glibc's iconv lets forms beyond U+10FFFF pass from UTF-8 to UTF-8; RFC 3629 has none. */
static bool check_utf_8(struct span bytes, struct conversion *made)
{
    struct span line = {made->at, 0};
    if (text_is_utf8((struct span){made->at, made->length}))
        return true;
    while (text_is_utf8(line)) { /* up to the end of the first line that is not */
        const size_t at = (size_t)(line.at - made->at) + line.length;
        line = (struct span){made->at + at, strcspn(made->at + at, "\r\n") + 1};
    }
    made->bad_at = (size_t)(line.at - made->at) < bytes.length ? (size_t)(line.at - made->at) : 0;
    free(made->at);
    made->at = NULL;
    return false;
}

static bool convert(const struct encoding *from, struct span bytes, struct conversion *made)
{
    const size_t size = 3 * bytes.length + 1; /* a byte becomes three at most: U+20AC, U+2020; two become three */
    memset(made, 0, sizeof *made);
    iconv_t converter = iconv_open("UTF-8", from->iconv_name);
    if ((intptr_t)converter == -1)
        return false;
    char *out = malloc(size), *to = out;
    char *source = (char *)bytes.at; /* iconv's prototype is older than const */
    size_t left = bytes.length, room = size - 1;
    const bool good = out && iconv(converter, &source, &left, &to, &room) != (size_t)-1;
    made->cut = out && !good && errno == EINVAL;
    made->bad_at = bytes.length - left;
    (void)iconv_close(converter);
    if (!good) {
        free(out);
        return false;
    }
    *to = '\0';
    made->at = out;
    made->length = (size_t)(to - out);
    return check_utf_8(bytes, made);
}

static int line_of(struct span bytes, size_t at)
{
    int line = 1;
    for (size_t i = 0; i < at && i < bytes.length; i++)
        if (bytes.at[i] == '\n' || (bytes.at[i] == '\r' && (i + 1 >= bytes.length || bytes.at[i + 1] != '\n')))
            line++;
    return line;
}

static bool finish(const struct encoding *encoding, struct conversion *made, struct stock_list_text *text,
                   struct fault *fault)
{
    if (memchr(made->at, '\0', made->length)) {
        free(made->at);
        return fault_set(fault, FAULT_INPUT, "the file holds zero bytes, so it is no text: " SAVE_AS_CSV);
    }
    memset(text, 0, sizeof *text);
    text->at = made->at;
    text->length = made->length;
    text->encoding = encoding->name;
    return true;
}

static bool read_as(const struct encoding *encoding, struct span bytes, struct stock_list_text *text,
                    struct fault *fault)
{
    struct conversion made;
    if (convert(encoding, bytes, &made))
        return finish(encoding, &made, text, fault);
    if (made.cut)
        return fault_set(fault, FAULT_INPUT, "the file ends in the middle of a character: it was cut; copy it again");
    return fault_set(fault, FAULT_INPUT, "line %d holds a character that %s does not have: name another encoding",
                     line_of(bytes, made.bad_at), encoding->name);
}

/* ---- asking ---- */

static bool ends_word(char c)
{
    return (unsigned char)c <= ' ' || strchr(",;\"'|", c);
}

/* The next word at or after `*at` that is not ASCII alone. */
static struct span next_word(struct span bytes, size_t *at)
{
    while (*at < bytes.length) {
        const size_t start = *at;
        bool high = false;
        while (*at < bytes.length && !ends_word(bytes.at[*at]))
            high = (bytes.at[(*at)++] & 0x80) || high;
        if (high)
            return (struct span){bytes.at + start, *at - start};
        (*at)++;
    }
    return (struct span){"", 0};
}

static bool was_before(const struct span *words, size_t count, struct span word)
{
    for (size_t i = 0; i < count; i++)
        if (words[i].length == word.length && memcmp(words[i].at, word.at, word.length) == 0)
            return true;
    return false;
}

static void write_sample(const struct encoding *encoding, struct span bytes, char sample[STOCK_LIST_SAMPLE])
{
    struct builder text;
    struct span words[SAMPLE_WORDS];
    size_t count = 0, at = 0;
    builder_init(&text, sample, STOCK_LIST_SAMPLE);
    while (count < SAMPLE_WORDS) {
        struct span word = next_word(bytes, &at);
        struct conversion made;
        if (word.length == 0)
            break;
        if (word.length > WORD_BYTES)
            word.length = WORD_BYTES; /* of one byte a character: no character is cut */
        if (was_before(words, count, word) || !convert(encoding, word, &made))
            continue;
        builder_addf(&text, "%s%s", count ? ", " : "", made.at);
        free(made.at);
        words[count++] = word;
    }
    text_end_whole(sample);
}

/* Nobody types U+0080 to U+009F: where they come out, the reading is wrong. */
static bool has_controls(const struct conversion *made)
{
    for (size_t i = 0; i + 1 < made->length; i++)
        if ((unsigned char)made->at[i] == 0xC2 && (unsigned char)made->at[i + 1] < 0xA0)
            return true;
    return false;
}

/* Readings that differ in nothing are one. */
static bool offer_readings(struct span bytes, struct stock_list_text *text, struct fault *fault)
{
    struct conversion made[STOCK_LIST_READINGS];
    struct stock_list_text asked = {.asked = true};
    for (size_t i = 0; i < ENCODINGS; i++) {
        struct conversion *next = &made[asked.reading_count];
        if (!encodings[i].offered || asked.reading_count == STOCK_LIST_READINGS || !convert(&encodings[i], bytes, next))
            continue;
        bool same = has_controls(next);
        for (size_t k = 0; k < asked.reading_count && !same; k++)
            same = made[k].length == next->length && memcmp(made[k].at, next->at, next->length) == 0;
        if (same) {
            free(next->at);
            continue;
        }
        struct stock_list_reading *reading = &asked.readings[asked.reading_count++];
        reading->encoding = encodings[i].name;
        reading->words = encodings[i].words;
        write_sample(&encodings[i], bytes, reading->sample);
    }
    for (size_t k = 0; k < asked.reading_count; k++)
        free(made[k].at);
    if (asked.reading_count == 0)
        return fault_set(fault, FAULT_INPUT, "the file's bytes are no text that is known here: " SAVE_AS_CSV);
    *text = asked;
    return true;
}

/* ---- what it is ---- */

static bool starts(struct span file, const char *bytes, size_t length)
{
    return file.length >= length && memcmp(file.at, bytes, length) == 0;
}

static bool check_file(struct span file, struct fault *fault)
{
    if (file.length == 0)
        return fault_set(fault, FAULT_INPUT, "the file is empty: choose the one that was saved as CSV");
    if (file.length > STOCK_LIST_BYTES)
        return fault_set(fault, FAULT_INPUT, "the file is larger than %d KiB: divide it into several",
                         STOCK_LIST_BYTES >> 10);
    if (starts(file, "PK\x03\x04", 4) || starts(file, "\xD0\xCF\x11\xE0", 4))
        return fault_set(fault, FAULT_INPUT, "this is the spreadsheet's own file: " SAVE_AS_CSV);
    return true;
}

/* `*bytes` without its mark; NULL when there is none. */
static const struct encoding *read_mark(struct span *bytes)
{
    static const struct {
        const char *bytes;
        size_t length;
        const char *name;
    } marks[] = {{"\xEF\xBB\xBF", 3, "utf-8"}, {"\xFF\xFE", 2, "utf-16le"}, {"\xFE\xFF", 2, "utf-16be"}};
    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++) {
        if (!starts(*bytes, marks[i].bytes, marks[i].length))
            continue;
        bytes->at += marks[i].length;
        bytes->length -= marks[i].length;
        return find_encoding(marks[i].name);
    }
    return NULL;
}

static bool has_high(const char *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (bytes[i] & 0x80)
            return true;
    return false;
}

bool stock_list_text_read(struct span file, const char *encoding, struct stock_list_text *text, struct fault *fault)
{
    const struct encoding *said = encoding[0] ? find_encoding(encoding) : NULL;
    struct conversion made;
    if (!check_file(file, fault))
        return false;
    if (encoding[0] && !said)
        return fault_set(fault, FAULT_INPUT,
                         "encoding '%.40s' is not known here: say utf-8, windows-1252, iso-8859-15, windows-1250, "
                         "windows-1251, windows-1253, windows-1254, macintosh or ibm850",
                         encoding);
    const struct encoding *marked = read_mark(&file);
    if (marked || said)
        return read_as(marked ? marked : said, file, text, fault); /* a mark is no guess: it outweighs what was said */
    if (memchr(file.at, '\0', file.length))
        return fault_set(fault, FAULT_INPUT, "the file holds zero bytes, so it is no text: " SAVE_AS_CSV);
    const struct encoding *utf_8 = find_encoding("utf-8");
    if (convert(utf_8, file, &made))
        return finish(utf_8, &made, text, fault);
    /* A last byte that begins a character may also be a letter of an older encoding: cut is what was UTF-8 before. */
    if (made.cut && has_high(file.at, made.bad_at))
        return fault_set(fault, FAULT_INPUT, "the file ends in the middle of a character: it was cut; copy it again");
    return offer_readings(file, text, fault);
}

void stock_list_text_clear(struct stock_list_text *text)
{
    free(text->at);
    memset(text, 0, sizeof *text);
}
