#include "kiosk/ledger/file_check_pages.h"

#include <stdio.h>
#include <string.h>

#include "kiosk/ledger/row.h"

/* Table-valued forms of PRAGMAs, and SQLite's dbstat: https://www.sqlite.org/pragma.html#pragfunc,
 * https://www.sqlite.org/dbstat.html. These run on SQLite alone. */
static const struct sql_text BYTES = {"SELECT page_count * page_size FROM pragma_page_count(), pragma_page_size()", ""};
static const struct sql_text CHECK_ALL = {"SELECT integrity_check FROM pragma_integrity_check(100)", ""};
static const struct sql_text TREES = {
    "SELECT name, tbl_name, type, instr(upper(COALESCE(sql, '')), ' WHERE ') FROM sqlite_master WHERE rootpage > 0"
    " ORDER BY tbl_name, type DESC, name",
    ""};
static const struct sql_text TREE_OF_PAGE = {"SELECT name FROM dbstat WHERE pageno = $1", "i"};
static const struct sql_text COUNT = {
    "SELECT SUM(CASE WHEN pagetype = 'leaf' OR $2 = 1 THEN ncell ELSE 0 END), SUM(pagetype = 'corrupted')"
    " FROM dbstat WHERE name = $1",
    "ti"};

static bool one_number(struct ledger *ledger, const struct sql_text *text, int64_t *number, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool row = false;
    if (!sql_start(ledger_sql(ledger), text, &statement, fault))
        return false;
    const bool fine = sql_step(statement, &row, fault);
    if (fine && row)
        *number = sql_whole(statement, 0);
    sql_done(statement);
    return fine;
}

bool pages_bytes(struct ledger *ledger, int64_t *bytes, struct fault *fault)
{
    return one_number(ledger, &BYTES, bytes, fault);
}

/* ---- trees ---- */

bool pages_trees(struct ledger *ledger, struct pages_tree trees[PAGES_TREES], size_t *count, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool row = false, fine = true;
    size_t length = 0;
    *count = 0;
    if (!sql_start(ledger_sql(ledger), &TREES, &statement, fault))
        return false;
    while (*count < PAGES_TREES && (fine = sql_step(statement, &row, fault)) && row) {
        struct pages_tree *tree = &trees[(*count)++];
        row_read_cut(statement, 0, tree->name, sizeof tree->name);
        row_read_cut(statement, 1, tree->table, sizeof tree->table);
        tree->is_index = strcmp(sql_text(statement, 2, &length), "index") == 0;
        tree->is_partial = tree->is_index && sql_whole(statement, 3) > 0;
    }
    sql_done(statement);
    return fine;
}

bool pages_count(struct ledger *ledger, const struct pages_tree *tree, int64_t *entries, struct pages_damage *damage,
                 struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool row = false;
    if (!sql_start(ledger_sql(ledger), &COUNT, &statement, fault))
        return false;
    sql_bind_text(statement, 1, tree->name);
    sql_bind_whole(statement, 2, tree->is_index); /* an index keeps entries in its inner pages too */
    const bool fine = sql_step(statement, &row, fault);
    if (fine && row) {
        *entries = sql_whole(statement, 0);
        damage->found = sql_whole(statement, 1) > 0;
    }
    sql_done(statement);
    if (fine && damage->found) {
        damage->is_index = tree->is_index;
        (void)span_copy(span_of(tree->name), damage->name, sizeof damage->name);
        (void)span_copy(span_of("a page of it is not a page"), damage->words, sizeof damage->words);
    }
    return fine;
}

/* ---- what integrity_check says ---- */

/* "row 12 missing from index movement_by_unit", "wrong # of entries in index …": the last word is its name. */
static bool read_index(const char *words, char name[PAGES_NAME_SIZE])
{
    static const char mark[] = "index ";
    const char *at = strstr(words, mark);
    if (!at)
        return false;
    at += sizeof mark - 1;
    return span_copy((struct span){at, strcspn(at, " :,")}, name, PAGES_NAME_SIZE);
}

/* "On tree page 12 cell 3: …", "On page 7 at right child: …", "Page 9: …". */
static int64_t read_page(const char *words)
{
    long long page = 0;
    const char *at = strstr(words, "age ");
    return at && sscanf(at + 4, "%lld", &page) == 1 ? page : 0;
}

/* A damaged file may not tell: then "". */
static void find_tree(struct ledger *ledger, int64_t page, char name[PAGES_NAME_SIZE])
{
    struct sql_statement *statement = NULL;
    bool row = false;
    if (page < 1 || !sql_start(ledger_sql(ledger), &TREE_OF_PAGE, &statement, NULL))
        return;
    sql_bind_whole(statement, 1, page);
    if (sql_step(statement, &row, NULL) && row)
        row_read_cut(statement, 0, name, PAGES_NAME_SIZE);
    sql_done(statement);
}

static bool is_index(struct ledger *ledger, const char *name)
{
    struct pages_tree trees[PAGES_TREES];
    size_t count = 0;
    if (!pages_trees(ledger, trees, &count, NULL))
        return false;
    for (size_t i = 0; i < count; i++)
        if (strcmp(trees[i].name, name) == 0)
            return trees[i].is_index;
    return false;
}

static void understand(struct ledger *ledger, struct pages_damage *damage)
{
    if (read_index(damage->words, damage->name)) {
        damage->is_index = true;
        return;
    }
    find_tree(ledger, read_page(damage->words), damage->name);
    damage->is_index = (damage->name[0] && is_index(ledger, damage->name)) ||
                       strstr(damage->words, "is never used") != NULL || strstr(damage->words, "freelist") != NULL;
}

enum { KEPT = 16 };

/* The rows of an open statement, so that what they name can be looked up after. */
static bool collect(struct ledger *ledger, struct pages_damage list[KEPT], size_t *count, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool row = false, fine = true;
    if (!sql_start(ledger_sql(ledger), &CHECK_ALL, &statement, fault))
        return false;
    while ((fine = sql_step(statement, &row, fault)) && row) {
        char words[PAGES_WORDS_SIZE];
        row_read_cut(statement, 0, words, sizeof words);
        for (char *at = words; *at; at++) /* "*** in database main ***" stands on a line of its own */
            *at = *at == '\n' ? ' ' : *at;
        if (strcmp(words, "ok") == 0 || *count == KEPT)
            continue;
        static const char lead[] = "*** in database main *** ";
        const char *plain = strncmp(words, lead, sizeof lead - 1) == 0 ? words + sizeof lead - 1 : words;
        list[*count].found = true;
        (void)span_copy(span_of(plain), list[*count].words, sizeof list->words);
        ++*count;
    }
    sql_done(statement);
    return fine;
}

bool pages_check_all(struct ledger *ledger, struct pages_damage *damage, struct fault *fault)
{
    struct pages_damage list[KEPT];
    size_t count = 0;
    memset(list, 0, sizeof list);
    memset(damage, 0, sizeof *damage);
    struct fault trouble = {FAULT_NONE, ""};
    /* the check itself may stumble over what it has told of just before */
    if (!collect(ledger, list, &count, &trouble) && (trouble.code != FAULT_DAMAGED || count == 0))
        return fault_set(fault, trouble.code, "%s", trouble.text);
    for (size_t i = 0; i < count; i++) {
        understand(ledger, &list[i]);
        if (!damage->found || (damage->is_index && !list[i].is_index))
            *damage = list[i];
    }
    return true;
}
