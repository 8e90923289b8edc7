/* One writer at a time. For src/log only. */
#ifndef CORDWAIN_LOG_LOCK_H
#define CORDWAIN_LOG_LOCK_H

#include <stdbool.h>

#include "base/message.h"

/* How long another writer is waited for. */
enum { LOCK_WAIT_MS = 1000 };

/* Locks the open file for writing until it is closed, against every other program that asks.
 * False with a message: which process holds it, if that can be seen. */
bool lock_take(int fd, const char *path, Messages *messages);

#endif
