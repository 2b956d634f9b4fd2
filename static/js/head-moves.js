/*
 * What a head does when it is looked at from another side, turned, left at rest, or shown with other lines.
 *
 * A move is {way: "look", name}, {way: "turn", yaw, elevation, ease}, {way: "mark", what, shown} or {way: "rest"}; the
 * same move on two heads leaves them seen alike.
 */
export function moveHead(stage, controls, { way, ...how }) {
  if (way === "look") {
    stage.look(how.name);
    controls.showView(how.name);
  } else if (way === "turn") {
    controls.showView(stage.isChart && !how.ease ? "chart" : "");
    stage.turnBy(how.yaw, how.elevation, { ease: how.ease });
  } else if (way === "mark") stage.show(how.what, how.shown);
  else stage.rest();
}
