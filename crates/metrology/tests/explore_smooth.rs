use metrology::smooth::*;
#[test]
fn explore() {
    let text = std::fs::read_to_string("/work/shared/data/obd-two-clocks/trip_with_obd.txt").unwrap();
    for clock in [0, 1] { for with in [true, false] {
    let mut fixes: Vec<PathFix> = vec![]; let mut rep = vec![]; let mut o = None;
    for l in text.lines() { let c: Vec<&str> = l.split(';').collect(); if c.len() < 3 || c[1] != "gps" { continue }
        let g: Vec<f64> = c[2].split(':').map(|x| x.parse().unwrap_or(f64::NAN)).collect();
        let t = if clock == 0 { c[0].parse::<f64>().unwrap() } else { g[3] } / 1e3;
        if fixes.last().is_some_and(|f| t <= f.time_s) { continue }
        let (la, lo) = (g[0].to_radians(), g[1].to_radians()); let (la0, lo0) = *o.get_or_insert((la, lo));
        let w: f64 = 1.0 - 0.00669438*la.sin().powi(2); let m = 6378137.0*(1.0-0.00669438)/w.powf(1.5); let n = 6378137.0/w.sqrt();
        fixes.push(PathFix { time_s: t, position_m: Some([(lo-lo0)*n*la0.cos(), (la-la0)*m]), speed_m_per_s: with.then_some(g[2]), starts: false }); rep.push(g[2]);
    }
    let p = smooth(&fixes);
    let (mut d, mut s, mut dm, mut sm) = (0.0, 0.0, 0.0, 0.0); let mut worst = vec![];
    for k in 1..fixes.len() { let dt = fixes[k].time_s - fixes[k-1].time_s; let a = 0.5*(p.points[k].speed_m_per_s+p.points[k-1].speed_m_per_s)*dt; let b = 0.5*(rep[k]+rep[k-1])*dt; d += a; s += b; if rep[k] > 5.0 { dm += a; sm += b; } worst.push(((a-b).abs(), a-b, k)); if p.points[k].breaks { println!("break {k}"); } }
    worst.sort_by(|a,b| b.0.total_cmp(&a.0));
    let m = p.points.iter().map(|p| p.speed_uncertainty_m_per_s).sum::<f64>()/p.points.len() as f64;
    println!("clock {clock} with {with} {:?} total {d:.1} reported {s:.1} ratio {:.5} moving {:.5} mean u {m:.3} worst {:?}", p.levels, d/s, dm/sm, worst.iter().take(12).map(|w| (w.2, (w.1*10.0).round()/10.0, rep[w.2])).collect::<Vec<_>>());
    }}
}
