#ifndef TESTS_DEVICES_TEST_CUPS_H
#define TESTS_DEVICES_TEST_CUPS_H

#include <stdbool.h>
#include <sys/types.h>

/* A CUPS server of our own in a temporary folder, with one queue "label" in front of a printer. */

enum test_cups_rights {
    TEST_CUPS_OPEN,   /* everybody may do everything */
    TEST_CUPS_STRICT, /* the policy that Debian ships: managing a queue asks for an administrator */
    TEST_CUPS_CLOSED  /* printing asks for one too */
};

struct test_cups {
    char folder[64];
    char server[32]; /* 127.0.0.1:PORT */
    char socket[80];
    char uri[64]; /* of the queue, over TCP */
    pid_t pid;
};

/* The programs it needs; says so on standard error and returns false when one is missing. */
bool test_cups_is_installed(void);

/* Ready to take jobs when it returns. */
bool test_cups_start(struct test_cups *cups, enum test_cups_rights rights, const char *printer_uri);
void test_cups_stop(struct test_cups *cups);

/* Runs a command of cups-client ("cupsdisable") on the queue, as an administrator. */
bool test_cups_run(const struct test_cups *cups, const char *command);

#endif
