// drawing.js -- where everything stands on the plan: pure geometry, no page.
//
// The plan is seen from above with the street below: a person in the street who faces the front looks up the page, so
// right is on the right. A structure is its roof with its walls folded out around it. Sizes are as known, else
// schematic; the plan says which.
//
// SPDX-License-Identifier: GPL-3.0-or-later

export const WALL = 34; // depth of a folded-out wall: two lines of lettering, and a finger
const WALL_SMALL = 30;
const GAP = 18;
const SIZES = {
    // schematic: width along the front, depth
    dwelling: [214, 140],
    garage: [104, 70],
    barn: [108, 74],
    shed: [76, 62],
    carport: [104, 66],
    deck: [86, 44],
    fence: [92, 30],
    other: [80, 62],
};
const FACES = ['front', 'right', 'rear', 'left'];

// The screen direction of an azimuth: the front's outward normal points down the page, azimuths grow clockwise.
export function direction(azimuthDeg, frontDeg) {
    const turn = ((azimuthDeg - frontDeg) * Math.PI) / 180;
    return { x: -Math.sin(turn), y: Math.cos(turn) };
}

const points = (...list) => list.map(([x, y]) => `${x},${y}`).join(' ');

// The slopes of a roof over x, y, w, d: hipped where all four are there, else as far as they go.
function slopes(faces, x, y, w, d) {
    const has = (face) => faces.includes(face);
    const across = has('left') || has('right'),
        along = has('front') || has('rear');
    const r = x + w,
        b = y + d,
        mx = x + w / 2,
        my = y + d / 2;
    let ridge;
    if (across && along) {
        const half = Math.min(w, d) / 2;
        const a = w >= d ? [x + half, my] : [mx, y + half],
            c = w >= d ? [r - half, my] : [mx, b - half];
        ridge = [a, c];
        const wide = w >= d;
        const shape = {
            front: wide ? points([x, b], a, c, [r, b]) : points([x, b], c, [r, b]),
            rear: wide ? points([x, y], a, c, [r, y]) : points([x, y], a, [r, y]),
            left: wide ? points([x, y], a, [x, b]) : points([x, y], a, c, [x, b]),
            right: wide ? points([r, y], c, [r, b]) : points([r, y], a, c, [r, b]),
        };
        const at = {
            front: wide ? [mx, my + d * 0.3] : [mx, b - half * 0.38],
            rear: wide ? [mx, my - d * 0.3] : [mx, y + half * 0.38],
            left: wide ? [x + half * 0.34, my] : [mx - w * 0.3, my],
            right: wide ? [r - half * 0.34, my] : [mx + w * 0.3, my],
        };
        return { ridge, shape, at, narrow: ['left', 'right'] };
    }
    if (along) {
        ridge = [
            [x, my],
            [r, my],
        ];
        return {
            ridge,
            shape: { front: points([x, my], [r, my], [r, b], [x, b]), rear: points([x, y], [r, y], [r, my], [x, my]) },
            at: { front: [mx, my + d * (d > 100 ? 0.3 : 0.25)], rear: [mx, my - d * (d > 100 ? 0.3 : 0.25)] },
        };
    }
    ridge = [
        [mx, y],
        [mx, b],
    ];
    return {
        ridge,
        shape: { left: points([x, y], [mx, y], [mx, b], [x, b]), right: points([mx, y], [r, y], [r, b], [mx, b]) },
        at: { left: [x + w * 0.25, my], right: [r - w * 0.25, my] },
        narrow: ['left', 'right'],
    };
}

function walls(x, y, w, d, depth) {
    const r = x + w,
        b = y + d,
        k = depth,
        c = 5; // corners cut back so that neighbours stay apart
    return {
        front: {
            shape: points([x + c, b + 3], [r - c, b + 3], [r + 4, b + k], [x - 4, b + k]),
            at: [x + w / 2, b + k / 2 + 2],
        },
        rear: {
            shape: points([x + c, y - 3], [r - c, y - 3], [r + 4, y - k], [x - 4, y - k]),
            at: [x + w / 2, y - k / 2 - 2],
        },
        left: {
            shape: points([x - 3, y + c], [x - 3, b - c], [x - k, b + 4], [x - k, y - 4]),
            at: [x - k / 2 - 1, y + d / 2],
        },
        right: {
            shape: points([r + 3, y + c], [r + 3, b - c], [r + k, b + 4], [r + k, y - 4]),
            at: [r + k / 2 + 1, y + d / 2],
        },
    };
}

// footprints: { name: [width along the front, depth] } in any unit; only the proportion counts.
function arrange(structures, footprints) {
    const dwelling = structures[0];
    const boxes = new Map();
    const size = (st) => {
        let [w, d] = SIZES[st.kind] ?? SIZES.other;
        const known = footprints[st.name];
        if (known) d = Math.min(Math.max((w * known[1]) / known[0], w * 0.5), w * 1.1);
        const wall = st.elevations.length || st.slopes.length ? (st === dwelling ? WALL : WALL_SMALL) : 0;
        return { w, d, wall };
    };
    const width = 372;
    let y = 10;
    const others = structures.slice(1);
    // Outbuildings stand behind the house, two or three to a row: where they really are is not known.
    while (others.length) {
        const row = [];
        let used = GAP;
        while (others.length) {
            const { w, wall } = size(others[0]);
            if (row.length && used + w + 2 * wall + GAP > width - 60) break;
            used += w + 2 * wall + GAP;
            row.push(others.shift());
        }
        const tall = Math.max(
            ...row.map((st) => {
                const { d, wall } = size(st);
                return d + 2 * wall;
            }),
        );
        let x = GAP;
        for (const st of row) {
            const { w, d, wall } = size(st);
            boxes.set(st, { x: x + wall, y: y + tall - d - wall, w, d, wall });
            x += w + 2 * wall + GAP;
        }
        y += tall + GAP + 10;
    }
    const { w, d, wall } = size(dwelling);
    y = Math.max(y, 24);
    boxes.set(dwelling, { x: (width - w) / 2, y: y + wall, w, d, wall });
    return { boxes, width, height: y + d + 2 * wall + 50 };
}

// places and footprints (see arrange): places: [{id, structure, structure_name, structure_kind, kind, face,
// on_dwelling}] in walk order. -> { width, height, parts: [{ place, shape?, at, kind, face, room }], outlines: [{name,
// kind, x, y, w, d, ridge, open}], street }
export function draw(places, footprints = {}) {
    const structures = [];
    for (const place of places) {
        if (!place.structure) continue;
        let st = structures.find((one) => one.id === place.structure);
        if (!st) {
            st = {
                id: place.structure,
                name: place.structure_name,
                kind: place.structure_kind,
                elevations: [],
                slopes: [],
                places: [],
            };
            structures.push(st);
        }
        st.places.push(place);
        if (place.kind === 'elevation') st.elevations.push(place.face);
        if (place.kind === 'slope') st.slopes.push(place.face);
    }
    const parts = [],
        outlines = [],
        lists = [];
    if (!structures.length) return { width: 372, height: 120, parts, outlines, lists, street: 98 };
    const { boxes, width, height } = arrange(structures, footprints);
    for (const st of structures) {
        const { x, y, w, d, wall } = boxes.get(st);
        const roof = st.slopes.length ? slopes(st.slopes, x, y, w, d) : null;
        const wallShapes = walls(x, y, w, d, wall);
        outlines.push({
            name: st.name,
            kind: st.kind,
            x,
            y,
            w,
            d,
            wall,
            ridge: roof?.ridge ?? null,
            blank: roof
                ? FACES.filter((face) => roof.shape[face] && !st.slopes.includes(face)).map((face) => roof.shape[face])
                : [],
        });
        for (const place of st.places) {
            const part = { place, small: wall === WALL_SMALL };
            if (place.kind === 'elevation')
                Object.assign(part, wallShapes[place.face], {
                    narrow: place.face === 'left' || place.face === 'right',
                });
            else if (place.kind === 'slope')
                Object.assign(part, {
                    shape: roof.shape[place.face],
                    at: roof.at[place.face],
                    narrow: roof.narrow?.includes(place.face),
                });
            else if (place.kind === 'roof' && st === structures[0])
                Object.assign(part, { plate: true, at: [x + w / 2, y + d / 2] });
            else if (place.kind === 'whole' && st.places.length === 1) {
                Object.assign(part, {
                    shape: points([x, y], [x + w, y], [x + w, y + d], [x, y + d]),
                    at: [x + w / 2, y + d / 2],
                    alone: true,
                });
            } else {
                lists.push(place);
                continue;
            } // rooms, wholes and small roofs stand in words beside the drawing
            parts.push(part);
        }
    }
    for (const place of places) if (place.kind === 'site') lists.unshift(place);
    return { width, height, parts, outlines, lists, street: height - 22 };
}
