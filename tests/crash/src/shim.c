/* Loaded before the C library (LD_PRELOAD), this counts the calls by which a program changes files
 * under one folder, and ends the program at one of them, as a kill or a power cut would.
 *
 *   FALLAWAY_CRASH_FOLDER  the folder (absolute)
 *   FALLAWAY_CRASH_AT      end at this call, counted from 1
 *   FALLAWAY_CRASH_HOW     before: the call does not happen
 *                          torn:   half of a write happens
 *                          lost:   the call does not happen, and neither did any write since the
 *                                  last sync of its file
 *                          full:   the program goes on, but this call and every later write fail
 *                                  for want of space
 *
 * Shared memory of the database (-shm) is left out: it is rebuilt after a crash and never synced.
 * Meant for programs that write from one thread at a time. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

enum how { BEFORE, TORN, LOST, FULL };

/* What a file held before a write that has not been synced. */
struct undo {
    struct undo *earlier;
    char *path;
    off_t size;
    off_t at;
    size_t length;
    unsigned char *bytes;
};

static char folder[PATH_MAX];
static size_t folder_length;
static long left = -1;
static enum how how;
static struct undo *undos;

static ssize_t (*real_write)(int, const void *, size_t);
static ssize_t (*real_pwrite)(int, const void *, size_t, off_t);
static int (*real_ftruncate)(int, off_t);
static int (*real_fsync)(int);
static int (*real_fdatasync)(int);
static int (*real_rename)(const char *, const char *);
static int (*real_unlink)(const char *);

__attribute__((constructor)) static void begin(void) {
    const char *named = getenv("FALLAWAY_CRASH_FOLDER");
    const char *at = getenv("FALLAWAY_CRASH_AT");
    const char *way = getenv("FALLAWAY_CRASH_HOW");
    real_write = dlsym(RTLD_NEXT, "write");
    real_pwrite = dlsym(RTLD_NEXT, "pwrite64");
    real_ftruncate = dlsym(RTLD_NEXT, "ftruncate64");
    real_fsync = dlsym(RTLD_NEXT, "fsync");
    real_fdatasync = dlsym(RTLD_NEXT, "fdatasync");
    real_rename = dlsym(RTLD_NEXT, "rename");
    real_unlink = dlsym(RTLD_NEXT, "unlink");
    if (named && at && way && strlen(named) < sizeof folder) {
        strcpy(folder, named);
        folder_length = strlen(folder);
        left = atol(at);
        how = way[0] == 't' ? TORN : way[0] == 'l' ? LOST : way[0] == 'f' ? FULL : BEFORE;
    }
}

static int ours(const char *path) {
    size_t length = strlen(path);
    return left > 0 && strncmp(path, folder, folder_length) == 0 &&
           !(length > 4 && strcmp(path + length - 4, "-shm") == 0);
}

static int ours_open(int fd, char path[PATH_MAX]) {
    char link[64];
    ssize_t length;
    if (left <= 0) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    length = readlink(link, path, PATH_MAX - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return ours(path);
}

/* Counts a call; true at the one that ends the program, and for a full disk at every later one. */
static int due(void) {
    if (left > 1) {
        left--;
        return 0;
    }
    return 1;
}

static void die(void) {
    left = 0;
    if (how == LOST) {
        struct undo *undo;
        for (undo = undos; undo; undo = undo->earlier) {
            int fd = open(undo->path, O_WRONLY);
            if (fd < 0) continue;
            if (undo->length) {
                ssize_t ignored = real_pwrite(fd, undo->bytes, undo->length, undo->at);
                (void)ignored;
            }
            int unused = real_ftruncate(fd, undo->size);
            (void)unused;
            close(fd);
        }
    }
    _exit(137);
}

/* Keeps what the file holds from `at` on, before it is written over or cut off. */
static void remember(const char *path, int fd, off_t at, size_t length) {
    struct stat found;
    struct undo *undo;
    int reader;
    if (how != LOST || fstat(fd, &found) != 0 || !S_ISREG(found.st_mode)) return;
    undo = calloc(1, sizeof *undo);
    if (!undo) abort();
    undo->path = strdup(path);
    undo->size = found.st_size;
    undo->at = at;
    if (at < found.st_size) {
        size_t there = (size_t)(found.st_size - at);
        undo->length = length < there ? length : there;
        undo->bytes = malloc(undo->length ? undo->length : 1);
        reader = open(path, O_RDONLY);
        if (!undo->bytes || reader < 0 ||
            pread(reader, undo->bytes, undo->length, at) != (ssize_t)undo->length)
            abort();
        close(reader);
    }
    undo->earlier = undos;
    undos = undo;
}

/* After a sync of the file its writes can no longer be lost. */
static void forget(const char *path) {
    struct undo **place = &undos;
    while (*place) {
        struct undo *undo = *place;
        if (strcmp(undo->path, path) == 0) {
            *place = undo->earlier;
            free(undo->path);
            free(undo->bytes);
            free(undo);
        } else {
            place = &undo->earlier;
        }
    }
}

static int no_space(void) {
    errno = ENOSPC;
    return -1;
}

ssize_t write(int fd, const void *bytes, size_t length) {
    char path[PATH_MAX];
    if (!ours_open(fd, path)) return real_write(fd, bytes, length);
    if (due()) {
        if (how == FULL) return no_space();
        if (how == TORN) {
            ssize_t ignored = real_write(fd, bytes, length / 2);
            (void)ignored;
        }
        die();
    }
    remember(path, fd, lseek(fd, 0, SEEK_CUR), length);
    return real_write(fd, bytes, length);
}

ssize_t pwrite64(int fd, const void *bytes, size_t length, off_t at) {
    char path[PATH_MAX];
    if (!ours_open(fd, path)) return real_pwrite(fd, bytes, length, at);
    if (due()) {
        if (how == FULL) return no_space();
        if (how == TORN) {
            ssize_t ignored = real_pwrite(fd, bytes, length / 2, at);
            (void)ignored;
        }
        die();
    }
    remember(path, fd, at, length);
    return real_pwrite(fd, bytes, length, at);
}

ssize_t pwrite(int fd, const void *bytes, size_t length, off_t at) {
    return pwrite64(fd, bytes, length, at);
}

int ftruncate64(int fd, off_t size) {
    char path[PATH_MAX];
    if (!ours_open(fd, path)) return real_ftruncate(fd, size);
    if (due() && how != FULL) die();
    remember(path, fd, size, SIZE_MAX);
    return real_ftruncate(fd, size);
}

int ftruncate(int fd, off_t size) { return ftruncate64(fd, size); }

/* Nothing is really synced: whether a write survives is decided here, and a run takes a fraction of
 * the time. */
static int sync_with(int (*real)(int), int fd) {
    char path[PATH_MAX];
    if (!ours_open(fd, path)) return real(fd);
    if (due() && how != FULL) die();
    forget(path);
    return 0;
}

int fsync(int fd) { return sync_with(real_fsync, fd); }

int fdatasync(int fd) { return sync_with(real_fdatasync, fd); }

int rename(const char *from, const char *to) {
    if (ours(from) && due() && how != FULL) die();
    return real_rename(from, to);
}

int unlink(const char *path) {
    if (ours(path) && due() && how != FULL) die();
    return real_unlink(path);
}
