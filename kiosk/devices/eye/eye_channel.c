#include "kiosk/devices/eye/eye_channel.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/uio.h>
#include <unistd.h>

enum { SEALS = F_SEAL_SHRINK | F_SEAL_GROW | F_SEAL_WRITE | F_SEAL_SEAL };

/* Aligned as the kernel wants it. CMSG_SPACE rounds up, so more than one descriptor may fit: see take_descriptor. */
union control {
    struct cmsghdr header;
    char bytes[CMSG_SPACE(sizeof(int))];
};

enum eye_passed eye_channel_send(int socket_fd, bool wait, const void *packet, size_t length, int descriptor)
{
    struct iovec part = {.iov_base = (void *)packet, .iov_len = length};
    struct msghdr message = {.msg_iov = &part, .msg_iovlen = 1};
    union control control;
    if (descriptor >= 0) {
        memset(&control, 0, sizeof control);
        message.msg_control = control.bytes;
        message.msg_controllen = sizeof control.bytes;
        struct cmsghdr *header = CMSG_FIRSTHDR(&message);
        header->cmsg_level = SOL_SOCKET;
        header->cmsg_type = SCM_RIGHTS;
        header->cmsg_len = CMSG_LEN(sizeof descriptor);
        memcpy(CMSG_DATA(header), &descriptor, sizeof descriptor);
    }
    ssize_t sent = 0;
    do {
        sent = sendmsg(socket_fd, &message, MSG_NOSIGNAL | (wait ? 0 : MSG_DONTWAIT));
    } while (sent < 0 && errno == EINTR);
    if (sent == (ssize_t)length)
        return EYE_PASSED;
    return sent < 0 && (errno == EAGAIN || errno == EWOULDBLOCK) ? EYE_NOT_NOW : EYE_GONE;
}

/* Closes every descriptor but the first. False when there were more than the one that may come. */
static bool take_descriptor(struct msghdr *message, int *descriptor)
{
    bool good = true;
    for (struct cmsghdr *header = CMSG_FIRSTHDR(message); header; header = CMSG_NXTHDR(message, header)) {
        if (header->cmsg_level != SOL_SOCKET || header->cmsg_type != SCM_RIGHTS)
            continue;
        const size_t count = (header->cmsg_len - CMSG_LEN(0)) / sizeof(int);
        for (size_t i = 0; i < count; i++) {
            int passed = -1;
            memcpy(&passed, CMSG_DATA(header) + i * sizeof passed, sizeof passed);
            if (*descriptor < 0) {
                *descriptor = passed;
            } else {
                (void)close(passed);
                good = false;
            }
        }
    }
    return good;
}

enum eye_passed eye_channel_receive(int socket_fd, bool wait, void *buffer, size_t size, size_t *length,
                                    int *descriptor)
{
    struct iovec part = {.iov_base = buffer, .iov_len = size};
    struct msghdr message = {.msg_iov = &part, .msg_iovlen = 1};
    union control control;
    if (descriptor) { /* without room for them the kernel drops descriptors itself and says MSG_CTRUNC */
        message.msg_control = control.bytes;
        message.msg_controllen = sizeof control.bytes;
    }
    ssize_t got = 0;
    do {
        got = recvmsg(socket_fd, &message, MSG_CMSG_CLOEXEC | (wait ? 0 : MSG_DONTWAIT));
    } while (got < 0 && errno == EINTR);
    if (got < 0)
        return errno == EAGAIN || errno == EWOULDBLOCK ? EYE_NOT_NOW : EYE_GONE;

    int passed = -1;
    const bool single = !descriptor || take_descriptor(&message, &passed);
    if (!single || (message.msg_flags & (MSG_TRUNC | MSG_CTRUNC))) {
        if (passed >= 0)
            (void)close(passed);
        return EYE_REFUSED;
    }
    if (got == 0) { /* the end; an empty packet looks the same and is no message of ours */
        if (passed >= 0)
            (void)close(passed);
        return EYE_GONE;
    }
    *length = (size_t)got;
    if (descriptor)
        *descriptor = passed;
    return EYE_PASSED;
}

/* On a machine without memory this fails, where a store into the mapping would be SIGBUS. */
static bool reserve(int memory, size_t length)
{
    int error = 0;
    do {
        error = posix_fallocate(memory, 0, (off_t)length);
    } while (error == EINTR);
    return error == 0;
}

bool eye_memory_seal(const uint8_t *bytes, size_t width, size_t stride, size_t rows, int *descriptor,
                     struct fault *fault)
{
    assert(width > 0 && rows > 0 && stride >= width);
    const size_t length = width * rows;
    void *at = MAP_FAILED;
    const int memory = memfd_create("eye", MFD_CLOEXEC | MFD_ALLOW_SEALING);
    if (memory < 0 || !reserve(memory, length))
        goto failed;
    at = mmap(NULL, length, PROT_READ | PROT_WRITE, MAP_SHARED, memory, 0);
    if (at == MAP_FAILED)
        goto failed;
    for (size_t row = 0; row < rows; row++)
        memcpy((uint8_t *)at + row * width, bytes + row * stride, width);
    (void)munmap(at, length); /* a writable mapping would forbid the seal */
    if (fcntl(memory, F_ADD_SEALS, SEALS) != 0)
        goto failed;
    *descriptor = memory;
    return true;

failed:
    if (memory >= 0)
        (void)close(memory);
    return fault_set(fault, FAULT_STORAGE, "no memory for a picture of %zu bytes: wait a moment and try again", length);
}

bool eye_memory_map(int descriptor, size_t length, const uint8_t **at, struct fault *fault)
{
    const int seals = fcntl(descriptor, F_GET_SEALS);
    if (seals < 0 || (seals & SEALS) != SEALS)
        return fault_set(fault, FAULT_INPUT, "the picture's memory is not sealed: restart the kiosk");
    /* lseek, not fstat: newer C libraries make fstat of a system call that takes paths, which the cage forbids. */
    const off_t end = lseek(descriptor, 0, SEEK_END);
    if (end < 0 || (uint64_t)end != length || length == 0)
        return fault_set(fault, FAULT_INPUT, "the picture's memory has %lld bytes, not %zu: restart the kiosk",
                         (long long)end, length);
    const void *mapped = mmap(NULL, length, PROT_READ, MAP_PRIVATE, descriptor, 0);
    if (mapped == MAP_FAILED)
        return fault_set(fault, FAULT_STORAGE, "no memory to read a picture of %zu bytes: make it smaller", length);
    *at = mapped;
    return true;
}
