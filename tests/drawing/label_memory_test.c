#include <malloc.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "drawing_help.h"

/* A drawer lives as long as the kiosk: ten thousand labels, each with another serial, day, item and note, may not take
 * more memory than one thousand. What caches of Pango and cairo still gain after the first thousand is allowed for
 * below. */

enum { WARM = 1000, LABELS = 10000, HEAP_MORE = 256 * 1024, RESIDENT_MORE = 2 * 1024 * 1024 };

#ifdef __SANITIZE_ADDRESS__
static const bool heap_is_libcs = false; /* the sanitizer's heap keeps what was freed; leaks are its own check's */
#else
static const bool heap_is_libcs = true;
#endif

static const char *const names[] = {"vat-case", "bottle-25x13", "hold", "platform", "bottle-hazard"};

static void draw_one(struct drawer *drawer, const struct template *templates, long number)
{
    static const char *const pictograms[] = {"GHS01 GHS02", "GHS03 GHS04", "GHS05 GHS06 GHS07", "GHS08 GHS09"};
    enum { KINDS = sizeof pictograms / sizeof *pictograms };
    char serial[SERIAL_SIZE], expires[16], item[ITEM_CODE_SIZE], note[64];
    for (long at = number + 1; !serial_write('V', at, serial); at += LABELS)
        ;
    snprintf(expires, sizeof expires, "2027-%02ld-%02ld", number % 12 + 1, number % 28 + 1);
    snprintf(item, sizeof item, "I-%05ld", number);
    snprintf(note, sizeof note, "%c%c%c, shelf %ld", (char)('A' + number % 26), (char)('a' + number / 26 % 26),
             (char)('a' + number / 676 % 26), number % 97);
    const struct label_field fields[] = {
        {"serial", serial},     {"item", item},          {"expires", expires},
        {"lot", item},          {"note", note},          {"product", note},
        {"capacity", "1000"},   {"signal-word", "none"}, {"pictograms", pictograms[number % KINDS]},
        {"statements", "none"}, {"precautions", "none"}, {"sds", item}};
    struct dots dots = {0};
    struct fault fault = {0};
    const struct template *template = &templates[number % (long)(sizeof names / sizeof *names)];
    if (!label_draw(drawer, template, fields, sizeof fields / sizeof *fields, 203, &dots, &fault))
        fail_msg("label %ld: %s", number, fault.text);
    dots_clear(&dots);
}

static size_t resident(void)
{
    unsigned long size = 0, pages = 0;
    FILE *file = fopen("/proc/self/statm", "re");
    assert_non_null(file);
    assert_int_equal(fscanf(file, "%lu %lu", &size, &pages), 2);
    fclose(file);
    return pages * (size_t)sysconf(_SC_PAGESIZE);
}

static void ten_thousand_labels_take_no_more_memory_than_one_thousand(void **state)
{
    static struct template templates[sizeof names / sizeof *names];
    struct fault fault = {0};
    size_t heap = 0, pages = 0;
    (void)state;
    if (!heap_is_libcs)
        skip();
    struct drawer *drawer = drawer_create(&fault);
    assert_non_null(drawer);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        load_shipped(names[i], &templates[i]);
    for (long number = 0; number < LABELS; number++) {
        draw_one(drawer, templates, number);
        if (number + 1 == WARM) {
            heap = mallinfo2().uordblks;
            pages = resident();
        }
    }
    const size_t heap_after = mallinfo2().uordblks, pages_after = resident();
    print_message("heap in use %zu KiB after %d labels, %zu KiB after %d; resident %zu and %zu KiB\n", heap / 1024,
                  WARM, heap_after / 1024, LABELS, pages / 1024, pages_after / 1024);
    assert_true(heap > 0 && heap_after < heap + HEAP_MORE);
    assert_true(pages > 0 && pages_after < pages + RESIDENT_MORE);
    drawer_destroy(drawer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(ten_thousand_labels_take_no_more_memory_than_one_thousand)};
    return cmocka_run_group_tests_name("drawing/label_memory", tests, NULL, NULL);
}
