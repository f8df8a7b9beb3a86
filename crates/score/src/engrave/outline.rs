//! Where the paths of a drawing run: their corners, lowest points and edges.

/// The lowest corner of a path or polygon in absolute coordinates.
pub(super) fn lowest(points: &str) -> f64 {
    let corners = corners(points);
    corners.into_iter().map(|(_, y)| y).fold(0.0, f64::max)
}

/// Points along a path of straight lines or cubic curves in absolute coordinates.
pub(super) fn edge(drawn: &str) -> Vec<(f64, f64)> {
    const STEPS: u32 = 16;
    let corners = corners(drawn);
    let curved = drawn.contains('C');
    let each = if curved { 3 } else { 1 };
    let mut out: Vec<(f64, f64)> = corners.first().copied().into_iter().collect();
    for from in (0..corners.len()).step_by(each) {
        let Some(piece) = corners.get(from..=from + each) else {
            break;
        };
        for step in 1..=STEPS {
            let t = f64::from(step) / f64::from(STEPS);
            out.push(along(piece, t));
        }
    }
    out
}

/// The point at `t` of a line or a cubic curve, by de Casteljau's halving of its corners.
fn along(corners: &[(f64, f64)], t: f64) -> (f64, f64) {
    let mut points = corners.to_vec();
    while points.len() > 1 {
        points = points
            .windows(2)
            .map(|pair| {
                let ((ax, ay), (bx, by)) = (pair[0], pair[1]);
                (ax + t * (bx - ax), ay + t * (by - ay))
            })
            .collect();
    }
    points.first().copied().unwrap_or_default()
}

/// The pairs of numbers in a path or a list of points.
fn corners(drawn: &str) -> Vec<(f64, f64)> {
    let numbers = drawn.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    let numbers: Vec<f64> = numbers.filter_map(|n| n.parse().ok()).collect();
    numbers
        .chunks_exact(2)
        .map(|pair| (pair[0], pair[1]))
        .collect()
}

/// The two numbers of `translate(x, y)`.
pub(super) fn translation(transform: &str) -> Option<(f64, f64)> {
    let inside = transform.split_once("translate(")?.1.split_once(')')?.0;
    let (x, y) = inside.split_once(',')?;
    Some((x.trim().parse().ok()?, y.trim().parse().ok()?))
}

/// Height and right end of the horizontal line `Mx y Lx y`.
pub(super) fn horizontal(path: &str) -> Option<(f64, f64)> {
    let (from, to) = path.strip_prefix('M')?.split_once(" L")?;
    let y: f64 = from.split_once(' ')?.1.parse().ok()?;
    let (x, end) = to.split_once(' ')?;
    (end.parse::<f64>().ok()?.to_bits() == y.to_bits()).then_some((y, x.parse().ok()?))
}
