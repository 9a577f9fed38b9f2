#include "labels/reading/reader.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "tests/reading/random.h"
#include "tests/reading/scene.h"
#include "tests/reading/zint_modules.h"

/* The live picture of a camera is read again and again: after the first frame nothing asks for memory. The three ways
 * of asking are counted here in place of the C library's; glibc's names of its own ones, from its malloc.c. */

static int asked;

#ifdef __SANITIZE_ADDRESS__ /* which has its own in their place */
enum { COUNTS = 0 };
#else
enum { COUNTS = 1 };

/* NOLINTBEGIN(bugprone-reserved-identifier,cert-dcl37-c,cert-dcl51-cpp,readability-inconsistent-declaration-parameter-name)
 */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *memory, size_t size);

void *malloc(size_t size)
{
    asked++;
    return __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    asked++;
    return __libc_calloc(count, size);
}

void *realloc(void *memory, size_t size)
{
    asked++;
    return __libc_realloc(memory, size);
}
/* NOLINTEND(bugprone-reserved-identifier,cert-dcl37-c,cert-dcl51-cpp,readability-inconsistent-declaration-parameter-name)
 */
#endif

enum { SCENES = 4, ROWS = 3, COLUMNS = 4, LABELS = ROWS * COLUMNS };

static void draw_label(struct scene *scene, double x, double y)
{
    struct zint_modules made;
    double corners[4][2];
    assert_true(zint_modules_make(&(struct zint_wish){.text = "STILL", .mode = DATA_MODE, .size = 5}, &made));
    scene_draw(scene,
               &(struct scene_label){.size = made.size,
                                     .modules = made.modules,
                                     .pixels_a_module = 7,
                                     .x = x,
                                     .y = y,
                                     .degrees = 20,
                                     .dark = 30,
                                     .light = 220},
               corners);
}

/* A sheet of labels, of which there is much to sort; print alone; noise; and a small picture of one label. */
static void draw(struct scene *scene, int number)
{
    const int width = number == 3 ? 400 : 1000, height = number == 3 ? 300 : 750;
    assert_true(scene_init(scene, width, height, 150, (uint64_t)number + 1));
    if (number == 1)
        scene_fill_text(scene, 14, 40, 200);
    if (number == 2)
        scene_noise(scene, 80);
    for (int row = 0; number == 0 && row < ROWS; row++)
        for (int column = 0; column < COLUMNS; column++)
            draw_label(scene, 125 + 250 * column, 125 + 250 * row);
    if (number == 3)
        draw_label(scene, 200, 150);
}

static void a_frame_asks_for_no_memory(void **state)
{
    struct scene scenes[SCENES];
    struct reader_result result;
    struct fault fault = {0};
    (void)state;
    if (!COUNTS)
        skip();
    struct reader *reader = reader_create();
    assert_non_null(reader);
    for (int i = 0; i < SCENES; i++)
        draw(&scenes[i], i);
    for (int round = 0; round < 3; round++) {
        const int before = asked;
        size_t found = 0;
        for (int i = 0; i < SCENES; i++) {
            const struct grey grey = scene_grey(&scenes[i]);
            assert_true(reader_read(reader, &grey, &result, &fault));
            found += result.count;
        }
        assert_int_equal(found, LABELS + 1);
        if (round == 0)
            assert_true(asked > before); /* or this counts nothing */
        else
            assert_int_equal(asked, before);
    }
    for (int i = 0; i < SCENES; i++)
        scene_clear(&scenes[i]);
    reader_destroy(reader);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_frame_asks_for_no_memory)};
    return cmocka_run_group_tests_name("reading/allocation", tests, NULL, NULL);
}
