/* Files and folders of a test's own, in $TMPDIR or the system's folder for such. */
#ifndef CORDWAIN_TESTS_SCRATCH_H
#define CORDWAIN_TESTS_SCRATCH_H

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

/* Room for a name, and for that of a file in such a folder. */
enum { SCRATCH_LENGTH = 256, SCRATCH_INSIDE = SCRATCH_LENGTH + 64 };

static inline void scratch_name(char path[SCRATCH_LENGTH])
{
    const char *folder = getenv("TMPDIR");
    int length = snprintf(path, SCRATCH_LENGTH, "%s/cordwain-test-XXXXXX",
                          folder && *folder ? folder : P_tmpdir);
    assert_in_range(length, 1, SCRATCH_LENGTH - 1);
}

/* A new empty file, open for writing; its name is put into `path`. */
static inline FILE *scratch_file(char path[SCRATCH_LENGTH])
{
    scratch_name(path);
    int handle = mkstemp(path);
    FILE *file = handle >= 0 ? fdopen(handle, "wb") : NULL;
    assert_non_null(file);
    return file;
}

/* The same, closed again, holding `length` bytes. */
static inline void scratch_write(char path[SCRATCH_LENGTH], const char *bytes, size_t length)
{
    FILE *file = scratch_file(path);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

/* A new empty folder. */
static inline void scratch_folder(char path[SCRATCH_LENGTH])
{
    scratch_name(path);
    assert_non_null(mkdtemp(path));
}

/* Removes the folder with the files in it. */
static inline void scratch_clear(const char *path)
{
    DIR *folder = opendir(path);
    for (struct dirent *entry; folder && (entry = readdir(folder)) != NULL;)
        unlinkat(dirfd(folder), entry->d_name, 0);
    if (folder)
        closedir(folder);
    rmdir(path);
}

#endif
