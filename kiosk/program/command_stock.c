#include "kiosk/program/command_stock.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "kiosk/basics/id.h"
#include "kiosk/desk/desk.h"
#include "kiosk/desk/stock_list/stock_list.h"
#include "kiosk/program/config.h"
#include "labels/basics/text.h"

struct stock_command {
    struct config config;
    const char *file;
    json_t *answers;
    char person[SERIAL_SIZE];
    bool book, json;
    struct clock *clock;
    json_t *plan;
};

/* ---- options ---- */

static bool set_column(json_t *answers, const char *said)
{
    const char *equals = strchr(said, '=');
    char field[24];
    json_t *columns = json_object_get(answers, "columns");
    int64_t number;
    if (!equals || !span_copy((struct span){said, (size_t)(equals - said)}, field, sizeof field))
        return false;
    if (!columns) {
        columns = json_object();
        json_object_set_new(answers, "columns", columns);
    }
    const char *heading = equals + 1;
    json_t *value = heading[0] == '\0'                                                    ? json_null()
                    : heading[0] == '#' && span_read_count(span_of(heading + 1), &number) ? json_integer(number)
                                                                                          : json_string(heading);
    return json_object_set_new(columns, field, value) == 0;
}

static bool add_answers(json_t *answers, const char *path, struct fault *fault)
{
    json_error_t error;
    json_t *said = json_load_file(path, JSON_REJECT_DUPLICATES, &error);
    if (!json_is_object(said)) {
        json_decref(said);
        return fault_set(fault, FAULT_INPUT, "the answers in '%s' are no JSON object (%.100s, line %d)", path,
                         said ? "another value" : error.text, error.line);
    }
    json_object_update_missing(answers, said);
    json_decref(said);
    return true;
}

/* One option with its value. 0: taken; else the exit code. */
static int take_option(const struct command *command, struct stock_command *stock, const char *name, const char *value)
{
    static const char *const words[][2] = {{"--dates", "dates"},
                                           {"--decimal", "decimal"},
                                           {"--encoding", "encoding"},
                                           {"--place", "place"},
                                           {"--again", "again"}};
    struct fault fault = {0};
    int64_t count;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(name, words[i][0]) == 0)
            return json_object_set_new(stock->answers, words[i][1], json_string(value)) == 0
                       ? EXIT_DONE
                       : command_misused(command, "the value of %s is no text in UTF-8", name);
    if (strcmp(name, "--stock") == 0) {
        stock->file = value;
        return EXIT_DONE;
    }
    if (strcmp(name, "--column") == 0)
        return set_column(stock->answers, value)
                   ? EXIT_DONE
                   : command_misused(command, "--column takes FIELD=HEADING, FIELD=#NUMBER or FIELD= for none");
    if (strcmp(name, "--leave-out") == 0)
        return span_read_count(span_of(value), &count) &&
                       json_object_set_new(stock->answers, "leave_out", json_integer(count)) == 0
                   ? EXIT_DONE
                   : command_misused(command, "--leave-out takes the number of lines with faults");
    if (strcmp(name, "--answers") == 0)
        return add_answers(stock->answers, value, &fault) ? EXIT_DONE : command_failed("", &fault);
    if (strcmp(name, "--person") == 0)
        return span_copy(span_of(value), stock->person, sizeof stock->person)
                   ? EXIT_DONE
                   : command_misused(command, "--person takes the serial of a badge");
    if (strcmp(name, "--config") == 0)
        return config_read(value, &stock->config, &fault) ? EXIT_DONE : command_failed("", &fault);
    return command_misused(command, "'%s' is not understood", name);
}

static int read_options(const struct command *command, int argc, char **argv, struct stock_command *stock)
{
    bool ledger = false;
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--book") == 0) {
            stock->book = true;
        } else if (strcmp(argv[i], "--json") == 0) {
            stock->json = true;
        } else if (argv[i][0] != '-') {
            if (ledger || !span_copy(span_of(argv[i]), stock->config.ledger, sizeof stock->config.ledger))
                return command_misused(command, "say one ledger: its address, or --config FILE");
            ledger = true;
        } else {
            if (i + 1 == argc)
                return command_misused(command, "%s takes a value", argv[i]);
            ledger = ledger || strcmp(argv[i], "--config") == 0;
            const int code = take_option(command, stock, argv[i], argv[i + 1]);
            if (code != EXIT_DONE)
                return code;
            i++;
        }
    }
    return ledger ? EXIT_DONE : command_misused(command, "say which ledger: its address, or --config FILE");
}

/* ---- the plan ---- */

static bool read_file(const char *path, char **bytes, size_t *length, struct fault *fault)
{
    FILE *file = fopen(path, "rb");
    char *read = file ? malloc(STOCK_LIST_BYTES + 1) : NULL;
    const size_t got = read ? fread(read, 1, STOCK_LIST_BYTES + 1, file) : 0;
    const bool good = read && !ferror(file);
    if (!good)
        fault_set(fault, FAULT_INPUT, "'%s' cannot be read (%s): give the name of a CSV file", path, strerror(errno));
    if (file)
        (void)fclose(file);
    if (!good) {
        free(read);
        return false;
    }
    *bytes = read;
    *length = got;
    return true;
}

static bool make_plan(struct stock_command *stock, bool *demo, struct fault *fault)
{
    struct ledger *ledger = NULL;
    char *bytes = NULL;
    size_t length = 0;
    bool good = read_file(stock->file, &bytes, &length, fault) &&
                ledger_open(stock->config.ledger, LEDGER_READER, &ledger, fault) && ledger_begin(ledger, fault);
    if (good) {
        *demo = ledger_is_demo(ledger);
        good = stock_list_plan(ledger, (struct span){bytes, length}, stock->answers, clock_now(stock->clock).local_day,
                               &stock->plan, fault);
    }
    ledger_close(ledger);
    free(bytes);
    return good;
}

/* ---- saying it ---- */

static const char *text(const json_t *object, const char *key)
{
    const char *value = json_string_value(json_object_get(object, key));
    return value ? value : "";
}

static void print_columns(const json_t *plan)
{
    const json_t *file = json_object_get(plan, "file");
    json_t *column;
    size_t i;
    if (!text(file, "encoding")[0])
        return;
    printf("read as %s with %s between cells, headings in line %lld\n", text(file, "encoding"), text(file, "separator"),
           (long long)json_integer_value(json_object_get(file, "heading_line")));
    json_array_foreach(json_object_get(plan, "columns"), i, column)
    {
        const char *field = text(column, "field"), *why = text(column, "why");
        printf("  column %zu '%s': %s%s%s\n", i + 1, text(column, "heading"), field[0] ? field : "not used",
               why[0] ? ", " : "", why);
    }
}

static void print_content(const json_t *content)
{
    static const char *const keys[] = {"lot",     "expires", "filled", "resin", "amount_ml",
                                       "minutes", "film",    "place",  "note"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        const json_t *value = json_object_get(content, keys[i]);
        if (json_is_string(value))
            printf(", %s %s", keys[i], json_string_value(value));
        else if (json_is_number(value))
            printf(", %s %.10g", keys[i], json_number_value(value));
    }
}

static void print_lines(const json_t *plan)
{
    json_t *line, *notice;
    size_t i, k;
    json_array_foreach(json_object_get(plan, "lines"), i, line)
    {
        const json_t *fault = json_object_get(line, "fault");
        const long long units = json_integer_value(json_object_get(line, "units"));
        printf("line %lld: ", (long long)json_integer_value(json_object_get(line, "line")));
        if (json_is_object(fault)) {
            if (text(fault, "heading")[0])
                printf("FAULT in column '%s': %s\n", text(fault, "heading"), text(fault, "sentence"));
            else
                printf("FAULT: %s\n", text(fault, "sentence"));
            continue;
        }
        printf("%s %lld x %s", text(line, "state"), units, text(line, "item")[0] ? text(line, "item") : "?");
        print_content(json_object_get(line, "content"));
        json_array_foreach(json_object_get(line, "notices"), k, notice)
        {
            printf(" (%s)", json_string_value(notice));
        }
        printf("\n");
    }
}

static void print_questions(const json_t *plan)
{
    json_t *question, *choice;
    size_t i, k;
    json_array_foreach(json_object_get(plan, "questions"), i, question)
    {
        if (!json_is_null(json_object_get(question, "answer")) || json_is_true(json_object_get(question, "answered")))
            continue;
        printf("QUESTION (%s%s%s): %s\n", text(question, "id"), text(question, "field")[0] ? " " : "",
               text(question, "field"), text(question, "sentence"));
        json_array_foreach(json_object_get(question, "choices"), k, choice)
        {
            const json_t *value = json_object_get(choice, "value");
            if (json_is_integer(value))
                printf("  #%lld", (long long)json_integer_value(value));
            else
                printf("  %s", json_string_value(value));
            printf(": %s%s%s\n", text(choice, "words"), text(choice, "sample")[0] ? ": " : "", text(choice, "sample"));
        }
    }
}

static void print_plan(const json_t *plan)
{
    json_t *total;
    size_t i;
    print_columns(plan);
    print_lines(plan);
    json_array_foreach(json_object_get(plan, "totals"), i, total)
    {
        printf("total %s: %lld units", text(total, "item"),
               (long long)json_integer_value(json_object_get(total, "units")));
        if (text(total, "first_expires")[0])
            printf(", use by %s to %s", text(total, "first_expires"), text(total, "last_expires"));
        printf("\n");
    }
    print_questions(plan);
    if (json_is_true(json_object_get(plan, "ready"))) /* else it is the command's failure */
        printf("%s\n", text(plan, "sentence"));
}

/* ---- booking it ---- */

static bool take_on(struct writer *writer, const struct stock_command *stock, const json_t *planned,
                    struct fault *fault)
{
    struct act act = {.kind = "take-on", .version = STOCK_LIST_ACT_VERSION};
    json_t *answer = NULL;
    (void)span_copy(span_of(text(planned, "id")), act.id, sizeof act.id);
    (void)span_copy(span_of(stock->person), act.person, sizeof act.person);
    act.content = json_deep_copy(json_object_get(planned, "content"));
    const bool done = act.content ? writer_run(writer, &act, &answer, fault)
                                  : fault_set(fault, FAULT_STORAGE, "no memory for an act: run the command again");
    json_decref(answer);
    return done;
}

static bool book_all(struct writer *writer, const struct stock_command *stock, int64_t *refused, struct fault *fault)
{
    json_t *planned;
    size_t i;
    json_array_foreach(json_object_get(stock->plan, "acts"), i, planned)
    {
        if (take_on(writer, stock, planned, fault))
            continue;
        if (fault->code == FAULT_STORAGE || fault->code == FAULT_BUSY)
            return false;
        fprintf(stderr, "ambershelf: line %lld: %s\n", (long long)json_integer_value(json_object_get(planned, "line")),
                fault->code == FAULT_CONFLICT ? "it was taken on before with other values: correct the unit instead"
                                              : fault->text);
        ++*refused;
    }
    return true;
}

static int book(const struct stock_command *stock, bool demo)
{
    struct fault fault = {0};
    struct feed *feed = feed_create();
    struct desk desk = {.idle_seconds = stock->config.idle_seconds, .clock = stock->clock};
    struct writer *writer = NULL;
    int64_t refused = 0;
    id_make(desk.run);
    const struct writer_options options = {.address = stock->config.ledger,
                                           .kinds = desk_acts,
                                           .desk = &desk,
                                           .clock = stock->clock,
                                           .feed = feed,
                                           .kiosk = stock->config.kiosk,
                                           .demo = demo};
    const bool good = feed && writer_create(&options, &writer, &fault) && book_all(writer, stock, &refused, &fault);
    struct writer_counts counts = {0};
    if (writer)
        writer_read_counts(writer, &counts);
    writer_destroy(writer);
    if (feed)
        feed_destroy(feed);
    if (!good)
        return command_failed("not all is taken on; run it again, nothing is booked twice", &fault);
    printf("%llu units are taken on, %llu were before; their labels wait for the printer\n",
           (unsigned long long)(counts.acts - counts.repeated - counts.refused), (unsigned long long)counts.repeated);
    return refused > 0 ? EXIT_NO : EXIT_DONE;
}

static int run(struct stock_command *stock)
{
    struct fault fault = {0};
    bool demo = false;
    stock->clock = stock->config.clock_file[0] ? clock_create_file(stock->config.clock_file) : clock_create_system();
    if (!stock->clock) {
        fault_set(&fault, FAULT_STORAGE, "no memory for the clock");
        return command_failed("", &fault);
    }
    if (!make_plan(stock, &demo, &fault))
        return command_failed("", &fault);
    if (stock->json) {
        json_dumpf(stock->plan, stdout, JSON_COMPACT | JSON_REAL_PRECISION(15));
        putchar('\n');
    } else {
        print_plan(stock->plan);
    }
    if (!json_is_true(json_object_get(stock->plan, "ready"))) {
        fault_set(&fault, FAULT_REFUSED, "%s", text(stock->plan, "sentence"));
        return command_failed("", &fault);
    }
    return stock->book ? book(stock, demo) : EXIT_DONE;
}

int command_stock_import(const struct command *command, int argc, char **argv)
{
    struct stock_command stock = {.answers = json_object()};
    config_init(&stock.config);
    int code = read_options(command, argc, argv, &stock);
    if (code == EXIT_DONE)
        code = run(&stock);
    clock_destroy(stock.clock);
    json_decref(stock.plan);
    json_decref(stock.answers);
    return code;
}
