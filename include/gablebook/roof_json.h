/* roof_json.h -- roof measurements as JSON, for the command line, the report and the page.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ROOF_JSON_H
#define GABLEBOOK_ROOF_JSON_H

#include <gablebook/roofs.h>
#include <jansson.h>

G_BEGIN_DECLS

/* All that was measured, structure by structure: {"waste_percent"?, "steep_pitches": ["over 4/12"], "caution"? (where something is steep),
 * "entries": [{"entry", "structure", "where", "section", "shape", "cut_out", "ridge_runs"? (of a whole roof), "left_side"?, "right_side"?, "top"?,
 * "bottom"? (of a slope: what its edges are), "unusual"? ("left side valley": what of it is not as usual for the shape), "given": {"eave": {"typed", "inches"},
 * "pitch": {"typed", "rise_in_12"} ...}}], "structures": [{"structure", "name", "slopes": [{"entry", "label", "face", "place"?, "section", "cut_out", "area_sqft",
 * "up_in", "rise_in_12"?, "degrees"?, "steep"?, "edges": [{"kind", "length_in"}]}], "quantities": {"area": {"amount", "unit"} ...},
 * "steep": [{"pitch", "area_sqft"}], "contradictions": ["..."]}]}. What is not known is absent. Numbers are rounded to 4 places. OWNED by
 * the caller (json_decref). */
json_t *gb_roof_json(const GbRoof *roof);

/* The ids of the structures that have an entry, dwelling first: array of gint64, OWNED by the caller (g_array_unref). */
GArray *gb_roof_structures(const GbRoof *roof);

G_END_DECLS
#endif
