#ifndef LABELS_BASICS_STEADY_SORT_H
#define LABELS_BASICS_STEADY_SORT_H

#include <stddef.h>
#include <stdint.h>

/* Negative, 0, positive: `a` before, level with, behind `b`, as for qsort. */
typedef int steady_compare(const void *a, const void *b);

/* Sorts `count` items (2^32 at most) of `size` bytes each. Unlike qsort it never asks for memory, which glibc's did up
 * to 2.36 for more than 1 KB, and what is level stays in its order, so that every machine has the same. Heapsort
 * (Williams 1964) of the places, then each item is moved once. `order`: room for `count` places; `spare`: for one item;
 * both are the caller's. */
void steady_sort(void *items, size_t count, size_t size, steady_compare *compare, uint32_t *order, void *spare);

#endif
