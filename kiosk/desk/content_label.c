#include "kiosk/desk/content_label.h"

#include <string.h>

#include "kiosk/desk/labels.h"
#include "kiosk/desk/thing.h"

bool content_label_note(struct turn *turn, const char *serial, struct content_label *before, struct fault *fault)
{
    return thing_require_unit(turn->ledger, serial, &before->unit, fault) &&
           contents_load(turn->ledger, &before->unit, &before->contents, fault);
}

static bool says_the_same(const struct content_label *before, const struct content_label *after)
{
    bool same = before->unit.expires == after->unit.expires && strcmp(before->unit.resin, after->unit.resin) == 0 &&
                before->contents.count == after->contents.count;
    for (size_t i = 0; same && i < after->contents.count; i++)
        same = strcmp(before->contents.lots[i].lot, after->contents.lots[i].lot) == 0;
    return same;
}

bool content_label_follow(struct turn *turn, const struct content_label *before, struct fault *fault)
{
    struct content_label after;
    if (!content_label_note(turn, before->unit.serial, &after, fault))
        return false;
    return says_the_same(before, &after) || labels_order(turn, before->unit.serial, fault);
}
