/* gablebook.h -- the whole library, in the order of the rooms: the map.
 *
 * The data's way: files -> import -> log -> tag -> check -> report. A claim is a folder (log.h). Everything a person does to it is
 * a verb (edit, structure, enter, import, tag, waive) and one entry in its history; a dossier is all that is known of it at one moment; a
 * check and a report are made from a dossier.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_H
#define GABLEBOOK_H

/* base: errors, files, text */
#include <gablebook/builtin.h>
#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/file.h>
#include <gablebook/ini.h>
#include <gablebook/progress.h>
#include <gablebook/quote.h>
#include <gablebook/settings.h>
/* trade: the words and the measures */
#include <gablebook/catalogue.h>
#include <gablebook/component.h>
#include <gablebook/factlist.h>
#include <gablebook/glossary.h>
#include <gablebook/locale.h>
#include <gablebook/measure.h>
#include <gablebook/numbers.h>
#include <gablebook/place.h>
#include <gablebook/quantity.h>
#include <gablebook/roof.h>
#include <gablebook/said.h>
#include <gablebook/size.h>
#include <gablebook/word.h>
/* photo: one image file */
#include <gablebook/digest.h>
#include <gablebook/exif.h>
#include <gablebook/fence.h>
#include <gablebook/format.h>
#include <gablebook/image.h>
#include <gablebook/jpeg.h>
#include <gablebook/quality.h>
/* sense: what time, place and pixels tell */
#include <gablebook/burst.h>
#include <gablebook/circular.h>
#include <gablebook/clock.h>
#include <gablebook/facing.h>
#include <gablebook/geodesy.h>
#include <gablebook/magnetic.h>
#include <gablebook/stop.h>
#include <gablebook/stray.h>
#include <gablebook/visit.h>
/* log: the claim folder */
#include <gablebook/attachment.h>
#include <gablebook/camera.h>
#include <gablebook/claim.h>
#include <gablebook/fact.h>
#include <gablebook/finding.h>
#include <gablebook/history.h>
#include <gablebook/log.h>
#include <gablebook/mark.h>
#include <gablebook/note.h>
#include <gablebook/picture.h>
#include <gablebook/roofs.h>
#include <gablebook/shot.h>
#include <gablebook/square.h>
#include <gablebook/state.h>
#include <gablebook/survey.h>
#include <gablebook/waiver.h>
/* check: is it complete? */
#include <gablebook/brief.h>
#include <gablebook/check.h>
#include <gablebook/checklist.h>
#include <gablebook/dossier.h>
#include <gablebook/doubt.h>
#include <gablebook/known.h>
#include <gablebook/leaving.h>
#include <gablebook/list.h>
#include <gablebook/roof_json.h>
/* work: the verbs */
#include <gablebook/correct.h>
#include <gablebook/decided.h>
#include <gablebook/dry_run.h>
#include <gablebook/edit.h>
#include <gablebook/enter.h>
#include <gablebook/import.h>
#include <gablebook/new.h>
#include <gablebook/set.h>
#include <gablebook/sidecar.h>
#include <gablebook/structure.h>
#include <gablebook/suggest.h>
#include <gablebook/tag.h>
#include <gablebook/visits.h>
#include <gablebook/waive.h>
/* report: what leaves the house */
#include <gablebook/export.h>
#include <gablebook/lint.h>
#include <gablebook/report.h>
#include <gablebook/roof_plan.h>
#include <gablebook/scope.h>
#include <gablebook/template.h>
#include <gablebook/verify.h>
/* desk: many claims */
#include <gablebook/desk.h>

#endif
