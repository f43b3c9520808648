#!/bin/sh
# A private sound server without hardware, for tests of the audio bench.
#
#   audio-rig.sh start DIR RATE [CHANNELS [LIMIT_DB]]   CHANNELS is 2 (default) or 8
#   audio-rig.sh stop DIR
#
# While it runs, DIR/env holds the variables that point programs at it (`. DIR/env`), and PortAudio sees devices
# that capture what a null sink plays, each with another unit (LADSPA, swh-plugins) in front of that sink:
#   loop   none: a bench looped back into itself      rig    a hard limiter that clips at LIMIT_DB (-6)
#   weak   a gain of -60 dB      strong   +40 dB      upside-down   -1      off   nothing comes out
# and play-only, capture-only: one direction each of `loop`, for benches with two devices.
# Needs pulseaudio, pulseaudio-utils, libasound2-plugins and swh-plugins; no dbus, no X, root or not.
set -eu

usage() {
  sed -n '2,5p' "$0" >&2
  exit 2
}

# unit NAME PLUGIN LABEL [CONTROLS]: a line for the server that puts a plugin in front of the sink.
unit() {
  echo "load-module module-ladspa-sink sink_name=$1 sink_master=bench plugin=$2 label=$3 ${4:+control=$4}"
}

# device NAME SINK: a line for ALSA that plays into a sink and captures what comes out of the null sink.
device() {
  echo "pcm.$1 { type asym playback.pcm { type pulse device \"$2\" } capture.pcm { type pulse device \"bench.monitor\" } }"
}

# running PID: true while that process lives; one that only waits for its parent to take note of its end does not.
running() {
  state=$(sed 's/.*) //' "/proc/$1/stat" 2>/dev/null) && [ "${state%% *}" != Z ]
}

start() {
  dir=$1 rate=$2 channels=${3:-2} limit=${4:--6}
  case $channels in
    2) map=front-left,front-right ;;
    # The map of ALSA: with the server's own one the ALSA plugin makes it mix channels together unasked.
    8) map=front-left,front-right,rear-left,rear-right,front-center,lfe,side-left,side-right ;;
    *) usage ;;
  esac
  mkdir -p "$dir"
  chmod 700 "$dir"
  # norewinds: a null sink that rewinds drops and doubles blocks. s32le carries 32-bit and 24-bit clients exactly.
  sink="format=s32le rate=$rate channels=$channels channel_map=$map norewinds=1"
  cat >"$dir/server.pa" <<END
load-module module-native-protocol-unix auth-anonymous=1
load-module module-null-sink sink_name=bench $sink
$(unit weak amp_1181 amp -60)
$(unit strong amp_1181 amp 40)
$(unit upside-down inv_1429 inv)
$(unit off hard_limiter_1413 hardLimiter 0,0,0)
$(unit rig hard_limiter_1413 hardLimiter "$limit,1,0")
END
  cat >"$dir/asound.conf" <<END
$(device loop bench)
$(for name in rig weak strong upside-down off; do device $name $name; done)
pcm.play-only { type asym playback.pcm { type pulse device "bench" } }
pcm.capture-only { type asym capture.pcm { type pulse device "bench.monitor" } }
pcm.default { type pulse }
ctl.default { type pulse }
END
  cat >"$dir/env" <<END
export XDG_RUNTIME_DIR='$dir' HOME='$dir' PULSE_SERVER='unix:$dir/pulse/native' ALSA_CONFIG_PATH='$dir/asound.conf'
END
  . "$dir/env"
  # First in line where that is allowed (both go on without, and say so to nobody), and in a session of its own: the
  # scheduler shares time out between sessions, by the weight of each, before it looks at the processes inside.
  setsid sh -c 'echo -11 >/proc/self/autogroup; exec nice -n -11 "$@"' - pulseaudio -n -F "$dir/server.pa" --daemonize=no --exit-idle-time=-1 --realtime=false \
    --log-target="file:$dir/server.log" >/dev/null 2>&1 </dev/null &
  pid=$!
  echo "$pid" >"$dir/pid"
  for _ in $(seq 100); do
    # This unit is loaded last: once it is listed, everything is there.
    if pactl list short sinks 2>/dev/null | grep -qw rig; then exit 0; fi
    running "$pid" || break
    sleep 0.05
  done
  echo "audio-rig: the sound server did not come up; its log:" >&2
  cat "$dir/server.log" >&2 || true
  kill "$pid" 2>/dev/null || true
  exit 1
}

stop() {
  pid=$(cat "$1/pid")
  # A server that a test has stopped must be woken to end.
  kill -TERM "$pid" 2>/dev/null && kill -CONT "$pid" 2>/dev/null || return 0
  for _ in $(seq 100); do
    running "$pid" || return 0
    sleep 0.05
  done
  kill -KILL "$pid"
}

[ $# -ge 2 ] || usage
case $1 in
  start) [ $# -ge 3 ] || usage; shift; start "$@" ;;
  stop) stop "$2" ;;
  *) usage ;;
esac
