#ifndef KIOSK_DESK_OLDER_FIRST_H
#define KIOSK_DESK_OLDER_FIRST_H

#include "kiosk/desk/thing.h"
#include "kiosk/desk/turn.h"

/* Of what goes out: does an older one of the same stand in storage (kiosk/rules/older_first.h)? Each kind of resin in
 * the group is looked at by itself; a vat is never. The rule runs here on the writer's thread: it is given the 16
 * earliest in storage, which takes well under a millisecond. */

struct older_first_asking {
    const struct thing *things; /* that go out */
    size_t count;
    const struct thing *inside; /* that are in the printer */
    size_t inside_count;
    const struct machine *machine; /* NULL: not said yet */
    int64_t need_ul;               /* of the job; MOVEMENT_NULL */
    struct day job_end;            /* today when nobody knows */
};

/* Adds its reasons, and notes at each thing of the counter's group which one should go instead. */
bool older_first_add(struct turn *turn, const struct older_first_asking *asking, struct verdict_list *list,
                     struct fault *fault);

#endif
