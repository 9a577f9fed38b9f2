#include "kiosk/devices/eye/eye_worker.h"
#include "kiosk/program/command.h"

enum { EYE_SOCKET = 3 };

static int run_eye(const struct command *command, int argc, char **argv)
{
    (void)argv;
    if (argc != 1)
        return command_misused(command, "the picture worker takes no arguments");
    return eye_worker_main(EYE_SOCKET);
}

const struct command command_eye = {
    "eye", "", "The picture worker. The daemon starts it with its socket as descriptor 3; not for people.", run_eye};
