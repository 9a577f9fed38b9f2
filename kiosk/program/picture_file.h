#ifndef KIOSK_PROGRAM_PICTURE_FILE_H
#define KIOSK_PROGRAM_PICTURE_FILE_H

#include "labels/basics/fault.h"
#include "labels/picture/picture.h"

/* A picture named on the command line. False: `*picture` untouched; the sentence lacks the name, which the caller puts
 * before it. The caller clears what it got. */
bool picture_file_read(const char *path, struct picture *picture, struct fault *fault);

#endif
