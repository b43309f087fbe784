// A layer between a program and its files, for tests (LD_PRELOAD): it writes down every change of a file, every sync and
// every answer, in their order, so that a test can make of it what a power cut at any moment would have left.
//
//   FILE_LAYER_ROOT     only what lies below this folder is written down
//   FILE_LAYER_TRACE    the file that it is written to; none: nothing is written down
//   FILE_LAYER_SYNC_MS  so long every sync takes more, as on a slow card
//
// A line of the trace: the number of bytes that follow it, and words; see `power_cut_test.py`, which reads it.

#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>

enum { kMostDescriptors = 4096 };

static pthread_mutex_t turn = PTHREAD_MUTEX_INITIALIZER;
static unsigned char watched[kMostDescriptors];  // 1: a file below the root
static int trace = -1;
static const char* root = NULL;
static long sync_ms = 0;

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

__attribute__((constructor)) static void begin(void) {
  root = getenv("FILE_LAYER_ROOT");
  const char* ms = getenv("FILE_LAYER_SYNC_MS");
  const char* path = getenv("FILE_LAYER_TRACE");
  if (ms != NULL) sync_ms = atol(ms);
  if (path != NULL && root != NULL) trace = REAL(open)(path, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
}

// One record: "SIZE words\n" and SIZE bytes. The lock is held by the caller.
static void put(const void* bytes, size_t size, const char* format, ...) {
  char line[2 * PATH_MAX + 128];
  int used = snprintf(line, sizeof line, "%zu ", size);
  va_list values;
  va_start(values, format);
  used += vsnprintf(line + used, sizeof line - (size_t)used - 1, format, values);
  va_end(values);
  line[used++] = '\n';
  struct iovec parts[2] = {{line, (size_t)used}, {(void*)bytes, size}};
  const int before = errno;
  if (REAL(writev)(trace, parts, size > 0 ? 2 : 1) != (ssize_t)((size_t)used + size)) abort();
  errno = before;
}

static int whole_path(const char* path, char* out) {
  if (path[0] == '/') return snprintf(out, PATH_MAX, "%s", path) < PATH_MAX;
  char here[PATH_MAX];
  return getcwd(here, sizeof here) != NULL && snprintf(out, PATH_MAX, "%s/%s", here, path) < PATH_MAX;
}

static int is_below_root(const char* path) {
  const size_t size = root == NULL ? 0 : strlen(root);
  return size > 0 && strncmp(path, root, size) == 0 && (path[size] == '/' || path[size] == '\0');
}

static int is_watched(int fd) { return trace >= 0 && fd >= 0 && fd < kMostDescriptors && watched[fd]; }

static int is_socket(int fd) {
  struct stat about;
  return fstat(fd, &about) == 0 && S_ISSOCK(about.st_mode);
}

static int open_any(int folder, const char* path, int flags, mode_t mode) {
  char whole[PATH_MAX];
  int (*const real)(int, const char*, int, ...) = REAL(openat);
  if (trace < 0 || (folder != AT_FDCWD && path[0] != '/') || !whole_path(path, whole) || !is_below_root(whole))
    return real(folder, path, flags, mode);
  pthread_mutex_lock(&turn);
  struct stat about;
  const int was_there = lstat(whole, &about) == 0;
  const int fd = real(folder, path, flags, mode);
  if (fd >= 0 && fd < kMostDescriptors) {
    watched[fd] = 1;
    put(NULL, 0, "open %d %d %d %s", fd, !was_there, was_there && (flags & O_TRUNC) != 0, whole);
  }
  pthread_mutex_unlock(&turn);
  return fd;
}

#define OPEN_BODY(folder)                       \
  mode_t mode = 0;                              \
  if (flags & (O_CREAT | O_TMPFILE)) {          \
    va_list more;                               \
    va_start(more, flags);                      \
    mode = va_arg(more, mode_t);                \
    va_end(more);                               \
  }                                             \
  return open_any(folder, path, flags, mode);

int open(const char* path, int flags, ...) { OPEN_BODY(AT_FDCWD) }
int open64(const char* path, int flags, ...) { OPEN_BODY(AT_FDCWD) }
int openat(int folder, const char* path, int flags, ...) { OPEN_BODY(folder) }
int openat64(int folder, const char* path, int flags, ...) { OPEN_BODY(folder) }
int __open_2(const char* path, int flags) { return open_any(AT_FDCWD, path, flags, 0); }
int __open64_2(const char* path, int flags) { return open_any(AT_FDCWD, path, flags, 0); }

int close(int fd) {
  if (!is_watched(fd)) return REAL(close)(fd);
  pthread_mutex_lock(&turn);
  watched[fd] = 0;
  put(NULL, 0, "close %d", fd);
  const int done = REAL(close)(fd);
  pthread_mutex_unlock(&turn);
  return done;
}

ssize_t write(int fd, const void* from, size_t size) {
  if (trace >= 0 && fd != trace && !is_watched(fd) && size > 0 && is_socket(fd)) return send(fd, from, size, 0);
  if (!is_watched(fd)) return REAL(write)(fd, from, size);
  pthread_mutex_lock(&turn);
  const ssize_t done = REAL(write)(fd, from, size);
  if (done > 0) put(from, (size_t)done, "write %d %lld", fd, (long long)lseek(fd, 0, SEEK_CUR) - (long long)done);
  pthread_mutex_unlock(&turn);
  return done;
}

static ssize_t write_at(int fd, const void* from, size_t size, off_t at) {
  if (!is_watched(fd)) return REAL(pwrite)(fd, from, size, at);
  pthread_mutex_lock(&turn);
  const ssize_t done = REAL(pwrite)(fd, from, size, at);
  if (done > 0) put(from, (size_t)done, "write %d %lld", fd, (long long)at);
  pthread_mutex_unlock(&turn);
  return done;
}
ssize_t pwrite(int fd, const void* from, size_t size, off_t at) { return write_at(fd, from, size, at); }
ssize_t pwrite64(int fd, const void* from, size_t size, off_t at) { return write_at(fd, from, size, at); }

ssize_t writev(int fd, const struct iovec* parts, int count) {
  if (!is_watched(fd)) return REAL(writev)(fd, parts, count);
  ssize_t sum = 0;
  for (int i = 0; i < count; ++i) {
    const ssize_t done = write(fd, parts[i].iov_base, parts[i].iov_len);
    if (done < 0) return sum > 0 ? sum : done;
    sum += done;
    if ((size_t)done < parts[i].iov_len) break;
  }
  return sum;
}

static int cut_to(int fd, off_t size) {
  if (!is_watched(fd)) return REAL(ftruncate)(fd, size);
  pthread_mutex_lock(&turn);
  const int done = REAL(ftruncate)(fd, size);
  if (done == 0) put(NULL, 0, "truncate %d %lld", fd, (long long)size);
  pthread_mutex_unlock(&turn);
  return done;
}
int ftruncate(int fd, off_t size) { return cut_to(fd, size); }
int ftruncate64(int fd, off_t size) { return cut_to(fd, size); }

// What was written before a sync began is safe when it has ended; others write meanwhile.
static int sync_file(int fd, int (*real)(int)) {
  static unsigned long syncs = 0;
  const struct timespec wait = {sync_ms / 1000, sync_ms % 1000 * 1000000};
  if (!is_watched(fd)) return real(fd);
  pthread_mutex_lock(&turn);
  const unsigned long number = ++syncs;
  put(NULL, 0, "sync %d %lu", fd, number);
  pthread_mutex_unlock(&turn);
  const int done = real(fd);
  if (sync_ms > 0) nanosleep(&wait, NULL);
  pthread_mutex_lock(&turn);
  if (done == 0) put(NULL, 0, "synced %lu", number);
  pthread_mutex_unlock(&turn);
  return done;
}
int fsync(int fd) { return sync_file(fd, REAL(fsync)); }
int fdatasync(int fd) { return sync_file(fd, REAL(fdatasync)); }

static int change_name(const char* word, const char* from, const char* to, int (*real)(const char*, const char*)) {
  char whole_from[PATH_MAX], whole_to[PATH_MAX];
  if (trace < 0 || !whole_path(from, whole_from) || !whole_path(to, whole_to) || !is_below_root(whole_to))
    return real(from, to);
  pthread_mutex_lock(&turn);
  const int done = real(from, to);
  if (done == 0) put(whole_to, strlen(whole_to), "%s %s", word, whole_from);
  pthread_mutex_unlock(&turn);
  return done;
}
int rename(const char* from, const char* to) { return change_name("rename", from, to, REAL(rename)); }
int link(const char* from, const char* to) { return change_name("link", from, to, REAL(link)); }

static int change_one(const char* word, const char* path, int (*real)(const char*)) {
  char whole[PATH_MAX];
  if (trace < 0 || !whole_path(path, whole) || !is_below_root(whole)) return real(path);
  pthread_mutex_lock(&turn);
  const int done = real(path);
  if (done == 0) put(NULL, 0, "%s %s", word, whole);
  pthread_mutex_unlock(&turn);
  return done;
}
int unlink(const char* path) { return change_one("unlink", path, REAL(unlink)); }
int remove(const char* path) { return change_one("unlink", path, REAL(remove)); }
int rmdir(const char* path) { return change_one("unlink", path, REAL(rmdir)); }

int mkdir(const char* path, mode_t mode) {
  char whole[PATH_MAX];
  if (trace < 0 || !whole_path(path, whole) || !is_below_root(whole)) return REAL(mkdir)(path, mode);
  pthread_mutex_lock(&turn);
  const int done = REAL(mkdir)(path, mode);
  if (done == 0) put(NULL, 0, "mkdir %s", whole);
  pthread_mutex_unlock(&turn);
  return done;
}

// An answer is written down before it is sent: what it promises must be safe by then.
static void answer(const void* bytes, size_t size) {
  pthread_mutex_lock(&turn);
  put(bytes, size, "answer");
  pthread_mutex_unlock(&turn);
}

ssize_t send(int fd, const void* from, size_t size, int flags) {
  if (trace >= 0) answer(from, size);
  return REAL(send)(fd, from, size, flags);
}

ssize_t sendmsg(int fd, const struct msghdr* message, int flags) {
  for (size_t i = 0; trace >= 0 && i < message->msg_iovlen; ++i)
    answer(message->msg_iov[i].iov_base, message->msg_iov[i].iov_len);
  return REAL(sendmsg)(fd, message, flags);
}
