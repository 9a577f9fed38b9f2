#include "kiosk/cases/case.h"

#include <string.h>

#include <gsl/gsl_errno.h>

const struct rule_case *case_find(const char *name)
{
    for (const struct rule_case *const *rule = cases; *rule; rule++)
        if (strcmp((*rule)->name, name) == 0)
            return *rule;
    return NULL;
}

bool case_compute(const struct rule_case *rule, const char *text, size_t length, struct arena *arena, json_t **answer,
                  struct rule_fault *fault)
{
    json_error_t error;
    gsl_set_error_handler_off();
    memset(fault, 0, sizeof *fault);
    /* every number as a real: a rule asks for whole ones itself, whatever they are written like */
    json_t *in = json_loadb(text, length, JSON_REJECT_DUPLICATES | JSON_DECODE_INT_AS_REAL, &error);
    if (!in)
        return rule_fault_set(fault, RULE_JSON, "", "this is not JSON (line %d, column %d: %s): give one object in { }",
                              error.line, error.column, error.text);
    if (!json_is_object(in)) {
        json_decref(in);
        return rule_fault_set(fault, RULE_JSON, "", "the case is not a JSON object: give its keys in { }");
    }
    json_t *out = json_object();
    const bool good = rule->compute(in, arena, out, fault);
    json_decref(in);
    if (good)
        *answer = out;
    else
        json_decref(out);
    return good;
}

json_t *case_fault(const struct rule_fault *fault)
{
    return json_pack("{s:{s:s, s:s, s:s}}", "fault", "code", rule_fault_word(fault->code), "text", fault->text, "key",
                     fault->key);
}
