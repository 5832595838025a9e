// marks.js -- marks over a picture: what each kind is made of, and how it is drawn. Pure: a mark in, SVG out.
//
// Points are shares of the upright picture (0 to 1); lines and letters are shares of its longer side, as in the
// report, so a mark looks the same at every zoom.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { s } from './dom.js';

export const TOOLS = [
    { kind: 'arrow', name: 'Arrow', points: ['tail', 'tip'] },
    { kind: 'ellipse', name: 'Ring', points: ['one corner', 'the other corner'] },
    { kind: 'chalk', name: 'Chalk', points: [] },
    {
        kind: 'text',
        name: 'Words',
        points: ['beginning'],
        asks: { title: 'Words on the picture', label: 'What shall stand there?' },
    },
    {
        kind: 'scale',
        name: 'Known length',
        points: ['one end', 'other end'],
        asks: { title: 'A known length', label: 'How long is it?', hint: 'A length: 10 ft, 7 1/2 in, 30 cm' },
    },
    { kind: 'line', name: 'Measure', points: ['one end', 'other end'] },
    { kind: 'angle', name: 'Angle', points: ['end of one line', 'corner', 'end of the other line'] },
];
export const toolOf = (kind) => TOOLS.find((tool) => tool.kind === kind);

// Inches as a carpenter writes them, to the quarter inch.
export function feet(inches) {
    const quarters = Math.round(inches * 4),
        ft = Math.floor(quarters / 48),
        rest = (quarters % 48) / 4;
    const whole = Math.floor(rest),
        part = ['', '1/4', '1/2', '3/4'][(rest - whole) * 4];
    const inch = [whole || !part ? String(whole) : '', part].filter(Boolean).join(' ');
    return ft ? (rest ? `${ft} ft ${inch} in` : `${ft} ft`) : `${inch} in`;
}

export function label(mark) {
    switch (mark.kind) {
        case 'scale':
            return mark.length ?? '';
        case 'line':
            return mark.measured_in === undefined ? '' : feet(mark.measured_in);
        case 'angle':
            return mark.angle_deg === undefined
                ? ''
                : [`${mark.angle_deg.toFixed(1)}°`, mark.pitch].filter(Boolean).join(' · ');
        default:
            return mark.text ?? '';
    }
}

export const describe = (mark) => [toolOf(mark.kind)?.name ?? mark.kind, label(mark)].filter(Boolean).join(': ');

// A line twice: a dark casing below, so that it is seen on snow and on shingles.
const twice = (tag, props, cls = '') =>
    ['casing', 'stroke'].map((layer) => s(tag, { ...props, class: `${layer} ${cls}` }));

function words(text, x, y, size, anchor = 'middle') {
    return text
        .split('\n')
        .flatMap((part, i) =>
            ['words-casing', 'words'].map((layer) =>
                s('text', {
                    x,
                    y: y + i * size * 1.2,
                    'font-size': size,
                    'text-anchor': anchor,
                    class: layer,
                    text: part,
                }),
            ),
        );
}

// -> a <g> with the mark, in pixels of a picture w by h.
export function drawMark(mark, w, h) {
    const unit = Math.max(w, h),
        thick = unit * 0.0042,
        size = unit * 0.024;
    const p = mark.points.map(([x, y]) => [x * w, y * h]);
    const g = s('g', { class: `mark ${mark.kind}`, data: mark.mark ? { mark: mark.mark } : undefined });
    g.style.setProperty('--thick', thick);
    const [a, b, c] = p;
    const text = label(mark);
    const put = (...kids) => g.append(...kids.flat());
    // What the pointer meets: wider than what is seen.
    const meet = (d) => put(s('path', { d, class: 'meet' }));
    if (!a) return g;
    switch (mark.kind) {
        case 'arrow': {
            if (!b) break;
            const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1,
                ux = (b[0] - a[0]) / length,
                uy = (b[1] - a[1]) / length;
            const head = Math.min(thick * 5, length * 0.6),
                at = (back, side) => [b[0] - ux * back - uy * side, b[1] - uy * back + ux * side];
            const [l, r] = [at(head, head * 0.5), at(head, -head * 0.5)];
            const d = `M${a}L${b}M${l}L${b}L${r}`;
            meet(d);
            put(twice('path', { d }));
            if (text)
                put(
                    words(
                        text,
                        a[0] - ux * size,
                        a[1] - uy * size + size * 0.35,
                        size,
                        Math.abs(ux) < 0.4 ? 'middle' : ux > 0 ? 'end' : 'start',
                    ),
                );
            break;
        }
        case 'ellipse': {
            if (!b) break;
            const cx = (a[0] + b[0]) / 2,
                cy = (a[1] + b[1]) / 2,
                rx = Math.abs(b[0] - a[0]) / 2,
                ry = Math.abs(b[1] - a[1]) / 2;
            put(s('ellipse', { cx, cy, rx, ry, class: 'meet' }), twice('ellipse', { cx, cy, rx, ry }));
            if (text) put(words(text, cx, cy + ry + size * 1.2, size));
            break;
        }
        case 'chalk': {
            const d = `M${p.map((one) => one.map((v) => v.toFixed(1)).join(' ')).join('L')}`;
            meet(d);
            put(twice('path', { d }, 'round'));
            break;
        }
        case 'text': {
            put(
                s('rect', {
                    x: a[0] - size * 0.2,
                    y: a[1] - size,
                    width: Math.max(2, text.length || 1) * size * 0.55,
                    height: size * 1.3,
                    class: 'meet filled',
                }),
            );
            put(words(text, a[0], a[1], size, 'start'));
            break;
        }
        case 'scale':
        case 'line': {
            if (!b) break;
            const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1,
                nx = (-(b[1] - a[1]) / length) * thick * 3,
                ny = ((b[0] - a[0]) / length) * thick * 3;
            const d = `M${a}L${b}M${a[0] - nx} ${a[1] - ny}L${a[0] + nx} ${a[1] + ny}M${b[0] - nx} ${b[1] - ny}L${b[0] + nx} ${b[1] + ny}`;
            meet(d);
            put(twice('path', { d }, mark.kind === 'scale' ? 'known' : ''));
            if (text) {
                // beside the line: above one that lies, right of one that stands
                const stands = Math.abs(b[1] - a[1]) > 2 * Math.abs(b[0] - a[0]),
                    [x, y] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
                put(
                    words(
                        mark.kind === 'scale' ? `${text} (known)` : text,
                        stands ? x + size * 0.7 : x,
                        stands ? y + size * 0.3 : y - size * 0.8,
                        size,
                        stands ? 'start' : 'middle',
                    ),
                );
            }
            break;
        }
        case 'angle': {
            if (!c) {
                if (b) put(twice('path', { d: `M${a}L${b}` }));
                break;
            }
            const d = `M${a}L${b}L${c}`;
            meet(d);
            const from = Math.atan2(a[1] - b[1], a[0] - b[0]),
                to = Math.atan2(c[1] - b[1], c[0] - b[0]);
            const r = Math.min(Math.hypot(a[0] - b[0], a[1] - b[1]), Math.hypot(c[0] - b[0], c[1] - b[1])) * 0.35;
            let turn = to - from;
            while (turn > Math.PI) turn -= 2 * Math.PI;
            while (turn < -Math.PI) turn += 2 * Math.PI;
            const at = (angle) => `${b[0] + r * Math.cos(angle)} ${b[1] + r * Math.sin(angle)}`;
            put(twice('path', { d: `${d}M${at(from)}A${r} ${r} 0 0 ${turn > 0 ? 1 : 0} ${at(to)}` }));
            if (text)
                put(
                    words(
                        text,
                        b[0] + Math.cos(from + turn / 2) * (r + size * 2.6),
                        b[1] + Math.sin(from + turn / 2) * (r + size * 1.2),
                        size,
                    ),
                );
            break;
        }
        default:
            break;
    }
    return g;
}

// A stroke with fewer points: those that lie less than a hair off the line between their neighbours go (Ramer,
// Douglas and Peucker).
export function thin(points, hair) {
    if (points.length < 3) return points;
    const [a, b] = [points[0], points.at(-1)],
        length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    let far = 0,
        at = 0;
    for (let i = 1; i < points.length - 1; i++) {
        const [x, y] = points[i];
        const off = length
            ? Math.abs((b[0] - a[0]) * (a[1] - y) - (a[0] - x) * (b[1] - a[1])) / length
            : Math.hypot(x - a[0], y - a[1]);
        if (off > far) {
            far = off;
            at = i;
        }
    }
    return far <= hair
        ? [a, b]
        : [...thin(points.slice(0, at + 1), hair).slice(0, -1), ...thin(points.slice(at), hair)];
}
