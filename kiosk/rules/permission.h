#ifndef KIOSK_RULES_PERMISSION_H
#define KIOSK_RULES_PERMISSION_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/rules/verdict.h"

/* Who may do what: one table (permission.c), a row a deed. A deed is an act's kind, or one that has no act of its own
 * ("taken": saying that a thing was taken already). Roles are words of the ledger; a person has one. Training is a list
 * of words with one space between, "pour" (filling and moving resin) and "retire" (ending a vat's service); only a deed
 * that names one asks for it. Roles and training are the shop's own division of work: common practice of stores, no
 * source. Pure.
 *
 * Nobody in particular (a script, the printing thread, a counter where nobody is signed in) may do what needs no
 * person; the rule says nothing of it. */

#define PERMISSION_ROLES  "technician", "receiver", "counter", "storekeeper", "auditor"
#define PERMISSION_TRAINS "pour", "retire"

enum {
    ROLE_TECHNICIAN = 1,
    ROLE_RECEIVER = 2,
    ROLE_COUNTER = 4,
    ROLE_STOREKEEPER = 8,
    ROLE_AUDITOR = 16,
    ROLES_WORKING = ROLE_TECHNICIAN | ROLE_RECEIVER | ROLE_COUNTER | ROLE_STOREKEEPER,
    ROLES_ALL = ROLES_WORKING | ROLE_AUDITOR
};

struct permission {
    const char *deed;
    unsigned roles;       /* who may, of the above */
    bool person;          /* somebody must say so: it is never done by nobody in particular */
    const char *training; /* a word, NULL: none is needed */
    const char *does;     /* "A storekeeper …": third person, for sentences */
};

/* NULL: no such deed, which nobody may do. */
const struct permission *permission_find(const char *deed);
/* The rows, to walk them. */
const struct permission *permission_table(size_t *count);

/* 0 for a word that is no role ("left"). */
unsigned permission_role(const char *word);
/* Does the list `training` have the word? */
bool permission_is_trained(const char *training, const char *word);

/* Adds what speaks against: REASON_NOT_ALLOWED (role) or REASON_NOT_TRAINED. `role` "": nobody in particular. */
void permission_judge(const struct permission *permission, const char *role, const char *training,
                      struct verdict_list *list);

#endif
