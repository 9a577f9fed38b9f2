#ifndef KIOSK_LEDGER_FILE_CHECK_PAGES_H
#define KIOSK_LEDGER_FILE_CHECK_PAGES_H

#include "kiosk/ledger/ledger_room.h"

/* The pages of a SQLite file, for file_check.c: what SQLite itself says of them. In an open read transaction. */

enum { PAGES_NAME_SIZE = 65, PAGES_WORDS_SIZE = 161, PAGES_TREES = 64 };

/* What is wrong: in which table or index (name "" when it cannot be learnt), and SQLite's own words. */
struct pages_damage {
    bool found;
    bool is_index; /* an index, or pages in no use */
    char name[PAGES_NAME_SIZE];
    char words[PAGES_WORDS_SIZE];
};

bool pages_bytes(struct ledger *ledger, int64_t *bytes, struct fault *fault);

/* integrity_check over the whole file: the first damage, an index's only when there is no other. */
bool pages_check_all(struct ledger *ledger, struct pages_damage *damage, struct fault *fault);

/* The trees of the file: tables and their indexes, a table before its own. */
struct pages_tree {
    char name[PAGES_NAME_SIZE], table[PAGES_NAME_SIZE];
    bool is_index, is_partial;
};
bool pages_trees(struct ledger *ledger, struct pages_tree trees[PAGES_TREES], size_t *count, struct fault *fault);
/* Walks every page of one tree and counts its entries. */
bool pages_count(struct ledger *ledger, const struct pages_tree *tree, int64_t *entries, struct pages_damage *damage,
                 struct fault *fault);

#endif
