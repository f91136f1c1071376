// Runs a program and writes down which of its functions are called at all.
//
//   first-calls OFFSETS CALLED PROGRAM ARGUMENTS…
//
// OFFSETS has one offset in the program's file image a line, hexadecimal. At each stands a breakpoint until it is met; then the
// byte that belongs there is put back, so that a function costs one stop however often it is called. Offsets met are appended
// to CALLED. SIGTERM and SIGINT go on to the program; its exit code is this one's. For 64-bit Intel/AMD Linux.
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ptrace.h>
#include <sys/user.h>
#include <sys/wait.h>
#include <unistd.h>

enum { Breakpoint = 0xCC };

static uint64_t *offsets;
static uint8_t *whole, *met;
static size_t count;
static pid_t child;

static void fail(const char *what) {
  perror(what);
  exit(2);
}

static void pass_on(int signal) { kill(child, signal); }

static int by_size(const void *a, const void *b) {
  uint64_t left = *(const uint64_t *)a, right = *(const uint64_t *)b;
  return (left > right) - (left < right);
}

static void read_offsets(const char *path) {
  FILE *file = fopen(path, "r");
  if (!file) fail(path);
  size_t room = 1 << 16;
  offsets = malloc(room * sizeof *offsets);
  char line[64];
  while (fgets(line, sizeof line, file)) {
    if (count == room) offsets = realloc(offsets, (room *= 2) * sizeof *offsets);
    offsets[count++] = strtoull(line, NULL, 16);
  }
  fclose(file);
  if (count == 0) {
    fprintf(stderr, "%s has no offsets\n", path);
    exit(2);
  }
  qsort(offsets, count, sizeof *offsets, by_size);
  size_t kept = 1;
  for (size_t i = 1; i < count; i++)
    if (offsets[i] != offsets[kept - 1]) offsets[kept++] = offsets[i];
  count = kept;
}

static uint64_t first_mapping(const char *program) {
  char path[64], line[4096], real[4096];
  if (!realpath(program, real)) fail(program);
  snprintf(path, sizeof path, "/proc/%d/maps", child);
  FILE *maps = fopen(path, "r");
  uint64_t base = 0;
  while (maps && !base && fgets(line, sizeof line, maps))
    if (strstr(line, real)) base = strtoull(line, NULL, 16);
  if (!base) fail("no mapping of the program");
  fclose(maps);
  return base;
}

static void set_breakpoints(int memory, uint64_t base) {
  size_t length = offsets[count - 1] - offsets[0] + 1;
  uint8_t *patched = malloc(length);
  for (size_t done = 0; done < length;) {
    ssize_t part = pread(memory, patched + done, length - done, (off_t)(base + offsets[0] + done));
    if (part <= 0) fail("reading the program's memory");
    done += (size_t)part;
  }
  whole = malloc(count);
  met = calloc(count, 1);
  for (size_t i = 0; i < count; i++) {
    uint8_t *byte = patched + (offsets[i] - offsets[0]);
    whole[i] = *byte;
    *byte = Breakpoint;
  }
  for (size_t done = 0; done < length;) {
    ssize_t part = pwrite(memory, patched + done, length - done, (off_t)(base + offsets[0] + done));
    if (part <= 0) fail("writing the program's memory");
    done += (size_t)part;
  }
  free(patched);
}

static void meet(pid_t thread, int memory, uint64_t base, FILE *called) {
  struct user_regs_struct registers;
  if (ptrace(PTRACE_GETREGS, thread, 0, &registers) != 0) return;
  uint64_t offset = registers.rip - 1 - base;
  uint64_t *found = bsearch(&offset, offsets, count, sizeof *offsets, by_size);
  if (!found) return;
  size_t i = (size_t)(found - offsets);
  if (!met[i]) {
    met[i] = 1;
    fprintf(called, "%lx\n", (unsigned long)offset);
    if (pwrite(memory, &whole[i], 1, (off_t)(base + offset)) != 1) fail("putting a byte back");
  }
  registers.rip--;
  ptrace(PTRACE_SETREGS, thread, 0, &registers);
}

int main(int argc, char **argv) {
  if (argc < 4) {
    fprintf(stderr, "first-calls OFFSETS CALLED PROGRAM ARGUMENTS…\n");
    return 2;
  }
  read_offsets(argv[1]);
  FILE *called = fopen(argv[2], "a");
  if (!called) fail(argv[2]);
  setlinebuf(called);
  if ((child = fork()) == 0) {
    ptrace(PTRACE_TRACEME, 0, 0, 0);
    execv(argv[3], argv + 3);
    _exit(127);
  }
  int status;
  waitpid(child, &status, 0);
  if (!WIFSTOPPED(status)) fail(argv[3]);
  signal(SIGTERM, pass_on);
  signal(SIGINT, pass_on);
  char path[64];
  snprintf(path, sizeof path, "/proc/%d/mem", child);
  int memory = open(path, O_RDWR);
  if (memory < 0) fail(path);
  uint64_t base = first_mapping(argv[3]);
  set_breakpoints(memory, base);
  ptrace(PTRACE_SETOPTIONS, child, 0, PTRACE_O_TRACECLONE | PTRACE_O_EXITKILL);
  ptrace(PTRACE_CONT, child, 0, 0);
  for (;;) {
    pid_t thread = waitpid(-1, &status, __WALL);
    if (thread < 0 && errno == EINTR) continue;
    if (thread < 0) fail("waiting");
    if (WIFEXITED(status) || WIFSIGNALED(status)) {
      if (thread == child) break;
      continue;
    }
    int pass = WSTOPSIG(status);
    if (pass == SIGTRAP) {
      // A stop for a new thread carries its event above the signal; everything else is a function's first call.
      if (status >> 16 == 0) meet(thread, memory, base, called);
      pass = 0;
    } else if (pass == SIGSTOP) {
      pass = 0;
    }
    ptrace(PTRACE_CONT, thread, 0, (void *)(long)pass);
  }
  fclose(called);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}
