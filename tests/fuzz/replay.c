#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

/* Runs a fuzz target over the files of its corpus, and over each of their prefixes up to 256 bytes: what once broke us
 * does not break us again. A corpus without files is a mistake, not a pass. */

enum { INPUT_MAX = 1 << 20, PREFIXES = 256 };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* In memory of exactly that size, so that the sanitizer sees the first byte too many. */
static void replay_bytes(const uint8_t *bytes, size_t size)
{
    uint8_t *exact = malloc(size > 0 ? size : 1);
    if (!exact)
        abort();
    for (size_t i = 0; i < size; i++)
        exact[i] = bytes[i];
    (void)LLVMFuzzerTestOneInput(exact, size);
    free(exact);
}

static int replay_file(const char *folder, const char *name)
{
    char path[4096];
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    static uint8_t buffer[INPUT_MAX];
    FILE *file = fopen(path, "rb");
    if (!file) {
        fprintf(stderr, "%s cannot be read\n", path);
        return 1;
    }
    const size_t size = fread(buffer, 1, sizeof buffer, file);
    fclose(file);
    replay_bytes(buffer, size);
    for (size_t length = 0; length < size && length < PREFIXES; length++)
        replay_bytes(buffer, length);
    return 0;
}

int main(int argc, char **argv)
{
    DIR *folder = argc == 2 ? opendir(argv[1]) : NULL;
    if (!folder) {
        fprintf(stderr, "usage: replay CORPUS-FOLDER\n");
        return 2;
    }
    int count = 0, failed = 0;
    for (struct dirent *entry; (entry = readdir(folder));) {
        if (entry->d_name[0] == '.')
            continue;
        failed |= replay_file(argv[1], entry->d_name);
        count++;
    }
    closedir(folder);
    printf("%d inputs replayed\n", count);
    return failed || count == 0;
}
