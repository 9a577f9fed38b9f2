#include "kiosk/devices/eye/eye_cage.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <unistd.h>

#include <seccomp.h>

#if defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(memory_sanitizer) || __has_feature(thread_sanitizer)
#define EYE_CAGE_LENIENT 1
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define EYE_CAGE_LENIENT 1
#endif
#ifndef EYE_CAGE_LENIENT
#define EYE_CAGE_LENIENT 0
#endif

enum { MOST_ADDRESSES = 1024 * 1024 * 1024, MOST_DESCRIPTORS = 16 };

bool eye_cage_is_lenient(void)
{
    return EYE_CAGE_LENIENT;
}

static bool limit(int resource, rlim_t most, const char *word, struct fault *fault)
{
    const struct rlimit both = {most, most};
    if (setrlimit((__rlimit_resource_t)resource, &both) == 0)
        return true;
    return fault_set(fault, FAULT_DEVICE, "the picture worker cannot limit its %s (%s): check the service's limits",
                     word, strerror(errno));
}

bool eye_cage_limit(int keep, struct fault *fault)
{
    const unsigned kept = (unsigned)keep;
    if ((kept > 3 && close_range(3, kept - 1, 0) != 0) || close_range(kept + 1, UINT_MAX, 0) != 0)
        return fault_set(fault, FAULT_DEVICE,
                         "the picture worker cannot close what it inherited (%s): this kernel is "
                         "older than 5.9, update it",
                         strerror(errno));
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0)
        return fault_set(fault, FAULT_DEVICE,
                         "the picture worker cannot give up its privileges (%s): update the kernel", strerror(errno));
    if (!limit(RLIMIT_CORE, 0, "core file", fault) || !limit(RLIMIT_NOFILE, MOST_DESCRIPTORS, "descriptors", fault))
        return false;
    if (EYE_CAGE_LENIENT)
        return true;
    return limit(RLIMIT_AS, MOST_ADDRESSES, "memory", fault) && limit(RLIMIT_NPROC, 0, "processes", fault);
}

/* Harmless whatever the arguments. */
static const int allowed[] = {
    SCMP_SYS(read),         SCMP_SYS(recvmsg),     SCMP_SYS(sendmsg),         SCMP_SYS(lseek),
    SCMP_SYS(close),        SCMP_SYS(munmap),      SCMP_SYS(mremap),          SCMP_SYS(brk),
    SCMP_SYS(madvise),      SCMP_SYS(futex),       SCMP_SYS(clock_gettime),   SCMP_SYS(clock_getres),
    SCMP_SYS(gettimeofday), SCMP_SYS(getrandom),   SCMP_SYS(rt_sigaction),    SCMP_SYS(rt_sigprocmask),
    SCMP_SYS(rt_sigreturn), SCMP_SYS(sigaltstack), SCMP_SYS(restart_syscall), SCMP_SYS(sched_yield),
    SCMP_SYS(getpid),       SCMP_SYS(gettid),      SCMP_SYS(alarm),           SCMP_SYS(setitimer),
    SCMP_SYS(sysinfo),      SCMP_SYS(exit),        SCMP_SYS(exit_group),
};

/* Never asked for by a library that draws or reads. */
static const int deadly[] = {
    SCMP_SYS(execve),           SCMP_SYS(execveat),          SCMP_SYS(ptrace),
    SCMP_SYS(process_vm_readv), SCMP_SYS(process_vm_writev), SCMP_SYS(bpf),
    SCMP_SYS(init_module),      SCMP_SYS(finit_module),      SCMP_SYS(kexec_load),
    SCMP_SYS(perf_event_open),  SCMP_SYS(userfaultfd),       SCMP_SYS(io_uring_setup),
};

static int add_all(scmp_filter_ctx filter, uint32_t action, const int *calls, size_t count)
{
    int error = 0;
    for (size_t i = 0; i < count && error == 0; i++) {
        error = seccomp_rule_add(filter, action, calls[i], 0);
        if (error == -EDOM) /* this processor has no such call: nothing to rule */
            error = 0;
    }
    return error;
}

/* Allowed with certain arguments only. */
static int add_conditional(scmp_filter_ctx filter)
{
    const struct scmp_arg_cmp no_code = SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0);
    const struct scmp_arg_cmp standard_error = SCMP_A0(SCMP_CMP_EQ, STDERR_FILENO);
    const struct {
        int call;
        struct scmp_arg_cmp when;
    } rules[] = {
        {SCMP_SYS(mmap), no_code},
        {SCMP_SYS(mprotect), no_code},
        {SCMP_SYS(fcntl), SCMP_A1(SCMP_CMP_EQ, F_GET_SEALS)},
        {SCMP_SYS(write), standard_error},
        {SCMP_SYS(writev), standard_error},                               /* the C library's own last words */
        {SCMP_SYS(tgkill), SCMP_A0(SCMP_CMP_EQ, (scmp_datum_t)getpid())}, /* abort() */
    };
    int error = 0;
    for (size_t i = 0; i < sizeof rules / sizeof *rules && error == 0; i++)
        error = seccomp_rule_add_array(filter, SCMP_ACT_ALLOW, rules[i].call, 1, &rules[i].when);
    return error;
}

static int load_filter(void)
{
    scmp_filter_ctx filter = seccomp_init(SCMP_ACT_ERRNO(EPERM));
    if (!filter)
        return -ENOMEM;
    int error = seccomp_attr_set(filter, SCMP_FLTATR_ACT_BADARCH, SCMP_ACT_KILL_PROCESS);
    if (error == 0)
        error = add_all(filter, SCMP_ACT_ALLOW, allowed, sizeof allowed / sizeof *allowed);
    if (error == 0)
        error = add_all(filter, SCMP_ACT_KILL_PROCESS, deadly, sizeof deadly / sizeof *deadly);
    if (error == 0)
        error = add_conditional(filter);
    if (error == 0)
        error = seccomp_load(filter);
    seccomp_release(filter);
    return error;
}

bool eye_cage_enter(struct fault *fault)
{
    if (EYE_CAGE_LENIENT)
        return fault_set(fault, FAULT_MISSING,
                         "built with a sanitizer: pictures are read without a system call filter");
    const int error = load_filter();
    if (error == 0)
        return true;
    return fault_set(fault, FAULT_MISSING,
                     "this kernel has no system call filter (seccomp: %s): pictures are read without it",
                     strerror(-error));
}
