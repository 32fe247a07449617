/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the files of this room only.
 */
#ifndef BODKIN_PRESENT_IMPL_H
#define BODKIN_PRESENT_IMPL_H

#include "present/present.h"

enum { LEVEL_DEEPEST = 3, COLUMNS_MOST = 12 };

extern const char *const block_names[BLOCK__COUNT];
extern const char *const tone_names[TONE__COUNT];

#endif
