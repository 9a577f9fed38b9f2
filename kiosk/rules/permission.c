#include "kiosk/rules/permission.h"

#include <string.h>

#include "labels/basics/text.h"

enum { STORES = ROLE_RECEIVER | ROLE_STOREKEEPER };

/* Putting on hold, bringing back, putting away and saying what was taken are facts and cautions: whoever stands there
 * may say them, but for an auditor, who reads all and changes nothing. */
static const struct permission table[] = {
    /* what a scan or a key leads to is asked by its own name */
    {"scan", ROLES_ALL, false, NULL, "scans"},
    {"press", ROLES_ALL, false, NULL, "answers"},
    {"enrol", ROLES_ALL, false, NULL, "enters the first storekeeper"}, /* the code from the terminal decides */
    {"pin-tried", ROLES_ALL, false, NULL, "tries a PIN"},              /* of the program itself */

    {"check-out", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "takes things to a printer"},
    {"reserve", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "keeps things for somebody"},
    {"unreserve", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "frees what is kept for somebody"},
    {"lend", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "lends things to another room"},
    {"pour", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, "pour", "pours resin"},
    {"job-plan", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "plans jobs"},
    {"job-drop", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "withdraws planned jobs"},
    {"job-ticket", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "has jobs' tickets printed"},
    {"job-start", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "starts jobs"},
    {"job-end", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "says how jobs ended"},
    {"inspect", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "inspects vats and platforms"},
    {"pair", ROLE_TECHNICIAN | STORES, false, NULL, "pairs a tray with its case"},
    {"stir", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "stirs resin"},
    {"surface-renewed", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "renews a platform's surface"},
    {"life-shown", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "says what a printer shows of a thing's life"},
    {"clean", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "cleans vats"},
    {"retire", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, "retire", "ends a thing's service"},
    {"dispose", ROLE_TECHNICIAN | ROLE_STOREKEEPER, false, NULL, "says what has left the room"},
    {"taken", ROLES_WORKING, false, NULL, "says what was taken or poured"},
    {"amount", ROLES_WORKING, false, NULL, "says how much is left"},
    {"weigh", ROLES_WORKING, false, NULL, "weighs what is left"},
    {"check-in", ROLES_WORKING, false, NULL, "brings things back"},
    {"put-away", ROLES_WORKING, false, NULL, "puts things away"},
    {"hold", ROLES_WORKING, false, NULL, "puts things on hold"},
    {"undo", ROLES_WORKING, false, NULL, "takes an act back"},
    {"relabel", ROLES_WORKING, false, NULL, "gives a thing whose label is lost a new one"},
    {"prove", ROLES_WORKING, false, NULL, "proves labels"},
    {"label-look", ROLES_WORKING, false, NULL, "keeps how labels look"},
    {"print-mark", ROLES_WORKING, false, NULL, "says how a label came out"},

    {"delivery-open", STORES, false, NULL, "opens deliveries"},
    {"delivery-resume", STORES, false, NULL, "goes on with deliveries"},
    {"delivery-close", STORES, false, NULL, "closes deliveries"},
    {"receive", STORES, false, NULL, "receives"},
    {"reprint", STORES, false, NULL, "has labels printed again"},
    {"print-move", STORES, false, NULL, "says which label is printed next"},
    {"print-withdraw", STORES, false, NULL, "withdraws labels"},
    {"print-go", STORES, false, NULL, "sets a label printer going"},
    {"print-calibration", STORES, false, NULL, "has a calibration label printed"},
    {"take-on", STORES | ROLE_COUNTER, false, NULL, "takes on what stands here"},

    {"release", ROLE_STOREKEEPER, true, NULL, "releases what is on hold"},
    {"settle", ROLE_STOREKEEPER, true, NULL, "settles questions"},
    {"clock-confirm", ROLE_STOREKEEPER, true, NULL, "confirms the date and time"},
    {"item-entry", ROLE_STOREKEEPER, true, NULL, "enters what the room knows of"},
    {"place-entry", ROLE_STOREKEEPER, true, NULL, "enters what the room knows of"},
    {"printer-entry", ROLE_STOREKEEPER, true, NULL, "enters what the room knows of"},
    {"person-entry", ROLE_STOREKEEPER, true, NULL, "enters what the room knows of"},
    {"sticker-entry", ROLE_STOREKEEPER, true, NULL, "enters what the room knows of"},
    {"sticker-forget", ROLE_STOREKEEPER, true, NULL, "enters what the room knows of"},
    {"substitution-entry", ROLE_STOREKEEPER, true, NULL, "says which revision stands in for which"},
    {"substitution-end", ROLE_STOREKEEPER, true, NULL, "says which revision stands in for which"},
    {"device-entry", ROLE_STOREKEEPER, true, NULL, "gives a device its credential"},
    {"device-revoke", ROLE_STOREKEEPER, true, NULL, "takes a device's credential back"},
    {"name-erase", ROLE_STOREKEEPER, true, NULL, "erases names"},
    {"pin-issue", ROLE_STOREKEEPER, true, NULL, "issues PINs"},
    {"calibrate", ROLE_STOREKEEPER, true, NULL, "calibrates label printers"},
    {"label-baseline", ROLE_STOREKEEPER, true, NULL, "sets what a label printer is compared with"},
};

static const char *const roles[] = {PERMISSION_ROLES};

const struct permission *permission_find(const char *deed)
{
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (strcmp(table[i].deed, deed) == 0)
            return &table[i];
    return NULL;
}

const struct permission *permission_table(size_t *count)
{
    *count = sizeof table / sizeof *table;
    return table;
}

unsigned permission_role(const char *word)
{
    for (size_t i = 0; i < sizeof roles / sizeof *roles; i++)
        if (strcmp(roles[i], word) == 0)
            return 1U << i;
    return 0;
}

bool permission_is_trained(const char *training, const char *word)
{
    const size_t length = strlen(word);
    for (const char *at = training; *at != '\0';) {
        const size_t here = strcspn(at, " ");
        if (here == length && strncmp(at, word, length) == 0)
            return true;
        at += here + (at[here] == ' ');
    }
    return false;
}

/* "receiver or storekeeper": those of the table, in its order. */
static void write_roles(unsigned may, char *text, size_t size)
{
    struct builder out;
    const char *between = "";
    builder_init(&out, text, size);
    for (size_t i = 0; i < sizeof roles / sizeof *roles; i++) {
        if (!(may & 1U << i))
            continue;
        may &= ~(1U << i);
        builder_addf(&out, "%s%s", between, roles[i]);
        between = may != 0 && (may & (may - 1)) != 0 ? ", " : " or ";
    }
}

void permission_judge(const struct permission *permission, const char *role, const char *training,
                      struct verdict_list *list)
{
    char who[80];
    if (role[0] == '\0' && !permission->person)
        return;
    if (!(permission->roles & permission_role(role))) {
        write_roles(permission->roles, who, sizeof who);
        if (strcmp(role, "auditor") == 0)
            verdict_add(list, REASON_NOT_ALLOWED, "", "An auditor reads all and books nothing: a %s %s.", who,
                        permission->does);
        else if ((permission->roles & (permission->roles - 1)) == 0)
            verdict_add(list, REASON_NOT_ALLOWED, "", "A %s %s: scan a %s's badge first.", who, permission->does, who);
        else
            verdict_add(list, REASON_NOT_ALLOWED, "", "A %s %s: scan the badge of one of them first.", who,
                        permission->does);
        return;
    }
    if (permission->training && !permission_is_trained(training, permission->training))
        verdict_add(list, REASON_NOT_TRAINED, "", "This needs the training '%s', which is not entered for this badge.",
                    permission->training);
}
