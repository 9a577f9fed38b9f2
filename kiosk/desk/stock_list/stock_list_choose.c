#include <string.h>

#include "kiosk/desk/stock_list/stock_list_parts.h"

/* Which column is what: the headings first, then what was answered. */

static bool find_heading_row(struct stock_list *list, struct fault *fault)
{
    const struct stock_list_rows *rows = &list->rows;
    if (list->answers.heading_line == 0) {
        list->heading_row = stock_list_heading_row(rows);
        return true;
    }
    for (size_t i = 0; i < rows->count; i++) {
        if (rows->rows[i].line != list->answers.heading_line)
            continue;
        list->heading_row = i;
        return true;
    }
    return fault_set(fault, FAULT_INPUT, "line %lld, which was said to hold the headings, is empty or not there",
                     (long long)list->answers.heading_line);
}

static bool has_values(const struct stock_list *list, int column)
{
    for (size_t i = list->heading_row + 1; i < list->rows.count; i++)
        if (stock_list_cell(&list->rows, i, column)[0])
            return true;
    return false;
}

static void read_headings(struct stock_list *list)
{
    const struct stock_list_rows *rows = &list->rows;
    list->column_count = rows->rows[list->heading_row].count;
    while (list->column_count > 1 && !stock_list_cell(rows, list->heading_row, list->column_count - 1)[0] &&
           !has_values(list, list->column_count - 1))
        list->column_count--; /* a spreadsheet adds separators for columns that were used once */
    for (int i = 0; i < list->column_count; i++) {
        struct stock_list_column *column = &list->columns[i];
        bool mass;
        column->heading = stock_list_cell(rows, list->heading_row, i);
        column->field = stock_list_heading_read(column->heading, &column->unit, &mass);
        if (column->field != STOCK_LIST_AMOUNT || !mass)
            continue;
        column->field = STOCK_LIST_UNUSED;
        column->why =
            "contents are kept by volume, and items have no density to tell it from a weight: they stay unknown";
    }
}

/* The column that an answer names; -1 for none. */
static bool find_column(const struct stock_list *list, const char *field, const json_t *said, int *found,
                        struct fault *fault)
{
    *found = -1;
    if (json_is_null(said))
        return true;
    if (json_is_integer(said)) {
        if (json_integer_value(said) < 1 || json_integer_value(said) > list->column_count)
            return fault_set(fault, FAULT_INPUT, "'columns' of %s names column %lld, but there are %d", field,
                             (long long)json_integer_value(said), list->column_count);
        *found = (int)json_integer_value(said) - 1;
        return true;
    }
    char wanted[STOCK_LIST_FOLDED], here[STOCK_LIST_FOLDED];
    stock_list_fold_value(json_string_value(said), wanted);
    for (int i = 0; i < list->column_count; i++) {
        if (strcmp(stock_list_fold_value(list->columns[i].heading, here), wanted) != 0)
            continue;
        if (*found >= 0)
            return fault_set(fault, FAULT_INPUT, "two columns are called '%s': name the one for %s by its number",
                             STOCK_LIST_SHOW(json_string_value(said)), field);
        *found = i;
    }
    return *found >= 0 ||
           fault_set(fault, FAULT_INPUT, "no column is called '%s', which was to be %s: see line %d",
                     STOCK_LIST_SHOW(json_string_value(said)), field, list->rows.rows[list->heading_row].line);
}

/* What was answered for a field frees the columns that mean it, and takes the one it names from any other field. */
static bool apply_answers(struct stock_list *list, struct fault *fault)
{
    const json_t *answers = list->answers.columns;
    int chosen[STOCK_LIST_FIELD_COUNT];
    const char *word;
    json_t *said;
    for (int i = 0; i < STOCK_LIST_FIELD_COUNT; i++)
        chosen[i] = -1;
    json_object_foreach((json_t *)answers, word, said)
    {
        enum stock_list_field field = STOCK_LIST_UNUSED;
        (void)stock_list_field_read(word, &field);
        if (!find_column(list, word, said, &chosen[field], fault))
            return false;
        for (int i = 0; i < list->column_count; i++)
            if (list->columns[i].field == field)
                list->columns[i].field = STOCK_LIST_UNUSED;
    }
    for (int field = 0; field < STOCK_LIST_FIELD_COUNT; field++) {
        if (chosen[field] < 0)
            continue;
        struct stock_list_column *column = &list->columns[chosen[field]];
        for (int other = 0; other < field; other++)
            if (chosen[other] == chosen[field])
                return fault_set(fault, FAULT_INPUT, "column '%s' cannot be both %s and %s: choose one",
                                 STOCK_LIST_SHOW(column->heading), stock_list_field_word(other),
                                 stock_list_field_word(field));
        column->field = field;
        column->why = NULL;
    }
    return true;
}

bool stock_list_columns_choose(struct stock_list *list, struct fault *fault)
{
    if (!find_heading_row(list, fault))
        return false;
    read_headings(list);
    if (!apply_answers(list, fault))
        return false;
    for (int field = 0; field < STOCK_LIST_FIELD_COUNT; field++) {
        int count = 0;
        list->column_of[field] = -1;
        for (int i = 0; i < list->column_count; i++) {
            if (list->columns[i].field != (enum stock_list_field)field)
                continue;
            list->column_of[field] = i;
            count++;
        }
        if (count < 2)
            continue;
        list->several[field] = true;
        list->column_of[field] = -1;
    }
    return true;
}
