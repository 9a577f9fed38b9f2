#include "labels/reading/border.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* The borders against a slow labelling that knows nothing of them: by their definition (Suzuki and Abe 1985) there is
 * one outer border for each dark component, joined over corners too, and one hole for each light component, joined over
 * sides alone, that does not touch the picture's frame. */

enum { SIDE = 80, MOST = SIDE * SIDE };

struct bitmap {
    int width, height;
    uint8_t dark[MOST]; /* row by row */
};

static bool dark_at(const struct bitmap *bitmap, int x, int y)
{
    return x >= 0 && y >= 0 && x < bitmap->width && y < bitmap->height && bitmap->dark[y * bitmap->width + x];
}

/* Paints what is joined to the place with `label`; true when it reaches the frame. */
static bool flood(const struct bitmap *bitmap, int at, int label, int *labels)
{
    static int stack[MOST];
    const bool dark = bitmap->dark[at];
    int depth = 0;
    bool framed = false;
    labels[at] = label;
    stack[depth++] = at;
    while (depth > 0) {
        const int here = stack[--depth], x = here % bitmap->width, y = here / bitmap->width;
        framed |= x == 0 || y == 0 || x == bitmap->width - 1 || y == bitmap->height - 1;
        for (int i = 0; i < 9; i++) {
            const int dx = i % 3 - 1, dy = i / 3 - 1, there = (y + dy) * bitmap->width + x + dx;
            if ((!dark && dx && dy) || x + dx < 0 || y + dy < 0 || x + dx >= bitmap->width || y + dy >= bitmap->height)
                continue;
            if (bitmap->dark[there] != dark || labels[there])
                continue;
            labels[there] = label;
            stack[depth++] = there;
        }
    }
    return framed;
}

struct box {
    int left, right, top, bottom;
};
static const struct box EMPTY = {MOST, -1, MOST, -1};

/* labels: of every pixel its component, from 1 on; `hole`, by label: light and not at the frame. */
struct components {
    int labels[MOST], dark, holes, all;
    bool hole[MOST + 1];
    struct box box[MOST + 1];
};

static void widen(struct box *box, int x, int y)
{
    box->left = x < box->left ? x : box->left;
    box->right = x > box->right ? x : box->right;
    box->top = y < box->top ? y : box->top;
    box->bottom = y > box->bottom ? y : box->bottom;
}

static void find_components(const struct bitmap *bitmap, struct components *found)
{
    memset(found, 0, sizeof *found);
    for (int at = 0; at < bitmap->width * bitmap->height; at++) {
        if (found->labels[at])
            continue;
        const bool framed = flood(bitmap, at, ++found->all, found->labels);
        found->box[found->all] = EMPTY;
        found->hole[found->all] = !bitmap->dark[at] && !framed;
        found->dark += bitmap->dark[at];
        found->holes += found->hole[found->all];
    }
    for (int at = 0; at < bitmap->width * bitmap->height; at++)
        widen(&found->box[found->labels[at]], at % bitmap->width, at / bitmap->width);
}

/* The mask that mask_make would have made of it. */
static struct mask mask_of(const struct bitmap *bitmap, uint8_t *bytes)
{
    const size_t size = mask_bytes_size(bitmap->width, bitmap->height);
    const struct mask mask = {bytes, size / ((size_t)bitmap->height + 2 * MASK_ROWS), bitmap->width, bitmap->height};
    memset(bytes, 0, size);
    for (int i = 0; i < bitmap->width * bitmap->height; i++)
        if (bitmap->dark[i]) {
            const int x = i % bitmap->width, y = i / bitmap->width;
            bytes[(size_t)(y + MASK_ROWS) * mask.stride + MASK_PAD + (size_t)(x / 8)] |= (uint8_t)(1 << x % 8);
        }
    return mask;
}

/* What a border encloses to its right when it runs clockwise as seen, twice: y is down. A border through the middles of
 * pixels: a single pixel or a line encloses nothing. */
static int64_t area_twice(const struct border *border)
{
    int64_t sum = 0;
    for (int i = 0; i < border->count; i++) {
        const struct border_point a = border->points[i], b = border->points[(i + 1) % border->count];
        sum += a.x * b.y - a.y * b.x;
    }
    return sum;
}

static bool is_box(const struct box *box, const struct border *border, int wider)
{
    return box->left - wider == border->left && box->right + wider == border->right &&
           box->top - wider == border->top && box->bottom + wider == border->bottom;
}

/* The component a border belongs to: dark of an outer border, which is as wide as it; light of a hole, whose border is
 * a pixel wider (no two holes have the same extent: they would cross). 0: it is no border at all. */
static int component_of(const struct bitmap *bitmap, const struct components *found, const struct border *border)
{
    const struct border_point first = border->points[0];
    const int dark = found->labels[first.y * bitmap->width + first.x];
    for (int i = 0; i < border->count; i++) {
        const struct border_point here = border->points[i], next = border->points[(i + 1) % border->count];
        if (!dark_at(bitmap, here.x, here.y) || found->labels[here.y * bitmap->width + here.x] != dark)
            return 0;
        if (abs(next.x - here.x) > 1 || abs(next.y - here.y) > 1)
            return 0; /* a step leads to a neighbour */
    }
    if (!border->hole)
        return is_box(&found->box[dark], border, 0) ? dark : 0;
    for (int label = 1; label <= found->all; label++)
        if (found->hole[label] && is_box(&found->box[label], border, 1))
            return label;
    return 0;
}

/* Passed edges: those between dark and light are all marked, and nothing else. */
static void check_edges(const struct bitmap *bitmap, const struct border_walk *walk)
{
    for (int y = 0; y < bitmap->height; y++)
        for (int x = 0; x <= bitmap->width; x++) {
            const size_t byte = (size_t)(y + MASK_ROWS) * walk->mask->stride + MASK_PAD + (size_t)(x / 8);
            const bool passed = walk->seen[byte] >> x % 8 & 1;
            assert_int_equal(passed, dark_at(bitmap, x - 1, y) != dark_at(bitmap, x, y));
        }
}

static void check_bitmap(const struct bitmap *bitmap, int64_t *borders)
{
    static struct components found;
    static struct border_table table;
    static struct border_point points[BORDER_POINTS];
    static uint8_t bytes[SIDE * SIDE], seen[SIDE * SIDE];
    static int times[MOST + 1];
    if (!table.next[0])
        border_table_fill(&table);
    assert_true(mask_bytes_size(bitmap->width, bitmap->height) <= sizeof bytes);
    find_components(bitmap, &found);
    memset(times, 0, sizeof times);
    const struct mask mask = mask_of(bitmap, bytes);
    struct border_walk walk;
    struct border border;
    border_begin(&walk, &table, &mask, seen, points, 1);
    int outer = 0, holes = 0;
    int64_t steps = 0;
    while (border_next(&walk, &border)) {
        const int component = component_of(bitmap, &found, &border);
        if (!component || times[component]++)
            fail_msg("%d x %d: a border of %d points at %d, %d is none, or comes twice", bitmap->width, bitmap->height,
                     border.count, border.points[0].x, border.points[0].y);
        assert_true(area_twice(&border) >= 0); /* both kinds clockwise as seen */
        holes += border.hole;
        outer += !border.hole;
        steps += border.count;
    }
    assert_int_equal(outer, found.dark);
    assert_int_equal(holes, found.holes);
    assert_int_equal(steps, walk.steps);
    check_edges(bitmap, &walk);
    *borders += outer + holes;
}

static void every_component_has_its_border_and_every_hole(void **state)
{
    static struct bitmap bitmap;
    uint64_t seed = 1985;
    int64_t borders = 0;
    (void)state;
    for (int round = 0; round < 3000; round++) {
        bitmap.width = 1 + random_below(&seed, 70);
        bitmap.height = 1 + random_below(&seed, round % 8 ? 20 : 70);
        const int share = 5 + random_below(&seed, 91); /* dark pixels in a hundred */
        for (int i = 0; i < bitmap.width * bitmap.height; i++)
            bitmap.dark[i] = random_below(&seed, 100) < share;
        check_bitmap(&bitmap, &borders);
    }
    assert_true(borders > 50000);
}

/* Regions as pictures have them, not salt and pepper: rectangles dark and light over each other. */
static void rectangles_upon_rectangles_have_theirs(void **state)
{
    static struct bitmap bitmap;
    uint64_t seed = 2026;
    int64_t borders = 0;
    (void)state;
    for (int round = 0; round < 1000; round++) {
        bitmap.width = 60 + random_below(&seed, 20);
        bitmap.height = 10 + random_below(&seed, 60);
        memset(bitmap.dark, round % 2, sizeof bitmap.dark);
        for (int i = random_below(&seed, 30); i >= 0; i--) {
            const int left = random_below(&seed, bitmap.width), top = random_below(&seed, bitmap.height);
            const int wide = 1 + random_below(&seed, 20), high = 1 + random_below(&seed, 20);
            for (int y = top; y < bitmap.height && y < top + high; y++)
                for (int x = left; x < bitmap.width && x < left + wide; x++)
                    bitmap.dark[y * bitmap.width + x] = i % 2;
        }
        check_bitmap(&bitmap, &borders);
    }
    assert_true(borders > 3000);
}

/* All of them: what a rare neighbourhood does wrong shows here. */
static void every_bitmap_of_four_by_four_is_right(void **state)
{
    static struct bitmap bitmap = {.width = 4, .height = 4};
    int64_t borders = 0;
    (void)state;
    for (unsigned bits = 0; bits < 1U << 16; bits++) {
        for (unsigned i = 0; i < 16; i++)
            bitmap.dark[i] = bits >> i & 1;
        check_bitmap(&bitmap, &borders);
    }
    assert_true(borders > 1 << 16);
}

static void short_borders_are_passed_and_not_shown(void **state)
{
    static const struct bitmap bitmap = {
        .width = 5, .height = 3, .dark = {1, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0, 1}};
    static struct border_table table;
    static uint8_t bytes[400], seen[400];
    struct border_point points[BORDER_POINTS / 1024];
    const struct mask mask = mask_of(&bitmap, bytes);
    struct border_walk walk;
    struct border border;
    (void)state; /* a pixel alone, and a square with another pixel at its corner: 1 and 6 points */
    border_table_fill(&table);
    border_begin(&walk, &table, &mask, seen, points, 2);
    assert_true(border_next(&walk, &border));
    assert_int_equal(border.count, 6);
    assert_false(border.hole);
    assert_false(border_next(&walk, &border));
    assert_int_equal(walk.steps, 7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_component_has_its_border_and_every_hole),
        cmocka_unit_test(rectangles_upon_rectangles_have_theirs),
        cmocka_unit_test(every_bitmap_of_four_by_four_is_right),
        cmocka_unit_test(short_borders_are_passed_and_not_shown),
    };
    return cmocka_run_group_tests_name("reading/border", tests, NULL, NULL);
}
