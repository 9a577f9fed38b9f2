#include "kiosk/desk/device.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/devices.h"

bool device_may_do(const char *act_kind)
{
    static const char *const kinds[] = {"job-plan", "job-drop", "job-ticket", "job-start", "job-end"};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (strcmp(kinds[i], act_kind) == 0)
            return true;
    return false;
}

bool device_may_speak_of(struct turn *turn, const char *machine, struct fault *fault)
{
    const char *name = turn->act->act->device;
    struct device device;
    bool found;
    if (name[0] == '\0')
        return true;
    if (!device_load(turn->ledger, name, &device, &found, fault))
        return false;
    if (!found || device.revoked)
        return fault_set(fault, FAULT_REFUSED,
                         "the credential of device '%s' was taken back: ask a storekeeper for a "
                         "new one",
                         name);
    return device.printer[0] == '\0' || strcmp(device.printer, machine) == 0 ||
           fault_set(fault, FAULT_REFUSED, "device '%s' speaks for printer %s alone, not for %s", name, device.printer,
                     machine);
}

static bool is_digest(const char *text)
{
    return strlen(text) == DEVICE_DIGEST_SIZE - 1 && strspn(text, "0123456789abcdef") == DEVICE_DIGEST_SIZE - 1;
}

static bool read_device(struct turn *turn, const json_t *content, struct device *device, struct fault *fault)
{
    struct machine machine;
    bool found = true;
    *device = (struct device){.issued_ms = turn->act->moment.wall.ms};
    if (!content_word(content, "name", CONTENT_REQUIRED, device->name, sizeof device->name, fault) ||
        !content_code(content, "printer", CONTENT_OPTIONAL, device->printer, sizeof device->printer, fault) ||
        !content_text(content, "token_sha256", CONTENT_REQUIRED, device->digest, sizeof device->digest, fault))
        return false;
    if (!is_digest(device->digest))
        return fault_set(fault, FAULT_INPUT, "'token_sha256' is not the SHA-256 of a token: 64 digits 0-9 and a-f");
    if (device->printer[0] != '\0' && !machine_load(turn->ledger, device->printer, &machine, &found, fault))
        return false;
    return found || fault_set(fault, FAULT_MISSING, "printer '%s' is not known: enter it first", device->printer);
}

static bool book(struct turn *turn, enum movement_kind kind, const struct device *device, struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, kind);
    turn_copy(movement.word, sizeof movement.word, device->name);
    turn_copy(movement.printer, sizeof movement.printer, device->printer);
    return turn_book(turn, &movement, fault) && device_store(turn->ledger, device, fault);
}

bool device_entry_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"name", "printer", "token_sha256", NULL};
    struct turn turn;
    struct device device;
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !read_device(&turn, context->act->content, &device, fault) ||
        !book(&turn, MOVEMENT_DEVICE_ENTRY, &device, fault))
        return false;
    counter_say(&turn.counter, "Entered: device %s may tell of jobs%s%s.", device.name, device.printer[0] ? " on " : "",
                device.printer);
    return turn_answer(&turn, answer, fault);
}

bool device_revoke_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"name", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct device device;
    char name[WORD_SIZE];
    bool found;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_word(content, "name", CONTENT_REQUIRED, name, sizeof name, fault) ||
        !device_load(turn.ledger, name, &device, &found, fault))
        return false;
    if (!found || device.revoked)
        return fault_set(fault, FAULT_MISSING, "no device '%s' has a credential: nothing to take back", name);
    device.revoked = true;
    if (!book(&turn, MOVEMENT_DEVICE_REVOKE, &device, fault))
        return false;
    counter_say(&turn.counter, "Taken back: the credential of device %s.", name);
    return turn_answer(&turn, answer, fault);
}
