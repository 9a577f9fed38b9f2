#include "kiosk/program/enrolment.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sodium.h>

#include "kiosk/basics/id.h"
#include "kiosk/desk/desk.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/pins.h"
#include "kiosk/web/pin_worker.h"
#include "labels/basics/text.h"

_Static_assert((int)ENROLMENT_CODE_SIZE == (int)PIN_CODE_SIZE && (int)ENROLMENT_PIN_SIZE == (int)PIN_DIGITS + 1,
               "the same texts");

/* Letters and digits that nobody mistakes for each other on paper: no 0, O, 1, I. */
static const char ALPHABET[] = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";

static bool anybody_has_pin(const char *address, bool *any, struct fault *fault)
{
    struct ledger *ledger = NULL;
    if (!ledger_open(address, LEDGER_READER, &ledger, fault))
        return false;
    const bool read = pin_any(ledger, any, fault);
    ledger_close(ledger);
    return read;
}

static void make_code(char code[ENROLMENT_CODE_SIZE])
{
    for (int i = 0; i < ENROLMENT_CODE_SIZE - 1; i++)
        code[i] = i == 4 ? '-' : ALPHABET[randombytes_uniform(sizeof ALPHABET - 1)];
    code[ENROLMENT_CODE_SIZE - 1] = '\0';
}

static void name_file(const char *address, char file[ENROLMENT_FILE_SIZE])
{
    static const char scheme[] = "sqlite:";
    struct builder out;
    file[0] = '\0';
    if (ledger_is_shared(address))
        return;
    builder_init(&out, file, ENROLMENT_FILE_SIZE);
    builder_addf(&out, "%s.code",
                 strncmp(address, scheme, sizeof scheme - 1) == 0 ? address + sizeof scheme - 1 : address);
}

static bool write_file(const char *file, const char *code, struct fault *fault)
{
    char line[ENROLMENT_CODE_SIZE + 1];
    const size_t length = ENROLMENT_CODE_SIZE;
    (void)snprintf(line, sizeof line, "%s\n", code);
    const int fd = open(file, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, S_IRUSR | S_IWUSR);
    bool written = fd >= 0 && fchmod(fd, S_IRUSR | S_IWUSR) == 0 && write(fd, line, length) == (ssize_t)length;
    const int why = errno;
    if (fd >= 0 && close(fd) != 0)
        written = false;
    return written ||
           fault_set(fault, FAULT_STORAGE, "the code for the first storekeeper cannot be written to '%s': %s", file,
                     strerror(why));
}

bool enrolment_open(struct enrolment *enrolment, const char *ledger_address, bool again, struct fault *fault)
{
    struct enrolment made = {.code = ""};
    bool any = false;
    name_file(ledger_address, made.file);
    if (!anybody_has_pin(ledger_address, &any, fault))
        return false;
    if (made.file[0] != '\0')
        (void)unlink(made.file);
    if (!any || again) {
        make_code(made.code);
        if (made.file[0] != '\0' && !write_file(made.file, made.code, fault))
            return false;
    }
    *enrolment = made;
    return true;
}

void enrolment_close(struct enrolment *enrolment)
{
    if (enrolment->code[0] != '\0' && enrolment->file[0] != '\0')
        (void)unlink(enrolment->file);
    sodium_memzero(enrolment->code, sizeof enrolment->code);
}

/* ---- the demo ---- */

struct demo_search {
    char serial[SERIAL_SIZE]; /* of the first storekeeper */
    char pin[ENROLMENT_PIN_SIZE];
    struct pin kept;
    bool has;
};

static bool keep_storekeeper(const struct person *person, void *context)
{
    struct demo_search *search = context;
    if (strcmp(person->role, "storekeeper") != 0)
        return true;
    (void)span_copy(span_of(person->serial), search->serial, sizeof search->serial);
    return false;
}

/* Six digits of the first movement's hash, which a random salt is in: each demo has its own, and keeps it. */
static bool derive_pin(const struct movement *first, void *context)
{
    struct demo_search *search = context;
    uint32_t number = 0;
    memcpy(&number, first->hash, sizeof number);
    (void)snprintf(search->pin, sizeof search->pin, "%06u", (unsigned)(number % 1000000));
    return false;
}

static bool search_demo(const char *address, struct demo_search *search, struct fault *fault)
{
    struct ledger *ledger = NULL;
    if (!ledger_open(address, LEDGER_READER, &ledger, fault))
        return false;
    const bool read = person_each(ledger, keep_storekeeper, search, fault) &&
                      ledger_each(ledger, 0, 1, derive_pin, search, fault) &&
                      pin_load(ledger, search->serial, &search->kept, &search->has, fault);
    ledger_close(ledger);
    return read;
}

static bool give_pin(struct writer *writer, const struct demo_search *search, struct fault *fault)
{
    struct act act = {.kind = "enrol", .version = 1};
    json_t *answer = NULL;
    if (!pin_hash(search->pin, act.aside, fault))
        return false;
    id_make(act.id);
    act.content = json_pack("{s:s}", "person", search->serial);
    const bool given = writer_run(writer, &act, &answer, fault);
    json_decref(answer);
    return given;
}

bool enrolment_of_demo(struct writer *writer, const char *ledger_address, char pin[ENROLMENT_PIN_SIZE],
                       struct fault *fault)
{
    struct demo_search search = {.serial = ""};
    if (!search_demo(ledger_address, &search, fault))
        return false;
    const bool mine = search.has && pin_fits(search.pin, search.kept.hash);
    const bool new = !search.has || strcmp(search.kept.hash, DESK_DEMO_NO_PIN) == 0;
    if (new && !give_pin(writer, &search, fault))
        return false;
    if (mine || new) /* else somebody was issued another one: whoever that was knows it */
        memcpy(pin, search.pin, sizeof search.pin);
    return true;
}
