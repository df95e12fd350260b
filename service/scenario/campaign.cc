#include "scenario/campaign.h"

#include <cmath>
#include <cstdio>
#include <set>

#include "document/schema.h"
#include "scenario/disturbances.h"

namespace brakeward::scenario {
namespace {

constexpr double kMillisecond = 1e-3;

std::string written(const Onset& onset) {
  char text[32];
  std::snprintf(text, sizeof text, onset.from_request ? "@%+.3fs" : "@%.3fs", onset.at_s);
  return text;
}

std::string item(const char* list, int i) {
  return std::string(list) + "[" + std::to_string(i) + "]";
}

// One campaign's faults of the document, collected under its file.
class CampaignCheck {
 public:
  CampaignCheck(const Library& library, const Loaded<v1::Campaign>& campaign, document::Faults& faults)
      : library_(library), campaign_(campaign.message), file_(campaign.file.string()), faults_(faults) {}

  void run() {
    check_name("name", campaign_.name());
    check_tier();
    check_tolerant_time();
    for (int i = 0; i < campaign_.scenarios_size(); ++i) check_scenario(i);
    for (int i = 0; i < campaign_.faults_size(); ++i) check_fault(i);
    bool spaced = true;
    for (int i = 0; i < campaign_.onsets_size(); ++i) spaced = check_onsets(i) && spaced;
    if (check_count() && spaced) check_distinct();
  }

 private:
  void add(const std::string& at, const std::string& text) { faults_.add({file_, 0, 0, at, text}); }

  void check_name(const std::string& at, const std::string& name) {
    if (name.find_first_of("/@") != std::string::npos)
      add(at, "\"" + name + "\" holds a '/' or '@', which part the names of replays; take other characters");
  }

  void check_tier() {
    if (campaign_.tier() == v1::TIER_ALL)
      add("tier", "TIER_ALL is of runs only; take TIER_GATE or TIER_ENDURANCE");
  }

  // The time is of single faults.
  void check_tolerant_time() {
    const bool given = campaign_.has_fault_tolerant_time_ms();
    if (given == campaign_.fault_tolerant_time_source().empty())
      add(given ? "fault_tolerant_time_source" : "fault_tolerant_time_ms",
          std::string("must be given together with ") +
              (given ? "fault_tolerant_time_ms" : "fault_tolerant_time_source") +
              "; give it, or leave both out");
    if (given) return;
    for (const v1::CampaignFault& fault : campaign_.faults())
      if (fault.faults_size() == 1)
        add("fault_tolerant_time_ms", "unset, but fault \"" + fault.name() +
                                          "\" is a single one, which is judged by it; give it, or keep to "
                                          "double faults in this campaign");
  }

  void check_scenario(int i) {
    const std::string& name = campaign_.scenarios(i);
    const std::string at = item("scenarios", i);
    if (!listed_.insert(name).second) add(at, "\"" + name + "\" is listed twice; leave one out");
    const auto* base = library_.scenario_named(name);
    if (base == nullptr)
      return add(at, "no scenario named \"" + name + "\" in the library; list its file under scenario_files");
    if (base->message.entry_point() != v1::ENTRY_POINT_REQUEST)
      add(at, "\"" + name +
                  "\" is replayed from line pressure, where no controller meets a fault; take one "
                  "with ENTRY_POINT_REQUEST");
    if (base->message.has_follow())
      add(at, "\"" + name +
                  "\" has a driver who follows a speed, so that what he asks for is not known beforehand; "
                  "take one whose request is replayed");
    if (base->message.faults_size() > 0)
      add(at, "\"" + name +
                  "\" has faults of its own, so that it cannot stand for the replay without the "
                  "campaign's; take one without");
  }

  void check_fault(int i) {
    const v1::CampaignFault& fault = campaign_.faults(i);
    const std::string at = "faults[\"" + fault.name() + "\"]";
    check_name(at + ".name", fault.name());
    for (int k = 0; k < fault.faults_size(); ++k)
      if (fault.faults(k).end_s() <= fault.faults(k).start_s())
        add(at + "." + item("faults", k) + ".end_s",
            document::with_unit(fault.faults(k).end_s(), "s") + " is not after the start, " +
                document::with_unit(fault.faults(k).start_s(), "s") + "; the fault must end after it starts");
    v1::Scenario alone;
    *alone.mutable_faults() = fault.faults();
    document::Faults own;
    check_disturbances(alone, library_.vehicle.message, file_, own);
    for (document::Fault& f : own.list) {
      f.address = at + "." + f.address;
      faults_.add(std::move(f));
    }
  }

  // False when the times cannot be spelt out.
  bool check_onsets(int i) {
    const v1::Onsets& o = campaign_.onsets(i);
    const std::string at = item("onsets", i);
    if (o.count() > 1 && !o.has_to_s()) {
      add(at + ".to_s", "unset; " + std::to_string(o.count()) + " onsets need the last of them");
      return false;
    }
    if (o.count() == 1 && o.has_to_s()) {
      add(at + ".count", "1, but to_s gives a last onset; give the number of onsets, at least 2");
      return false;
    }
    if (o.count() > 1 && o.to_s() <= o.from_s()) {
      add(at + ".to_s", document::with_unit(o.to_s(), "s") + " is not after from_s, " +
                            document::with_unit(o.from_s(), "s") + "; the last onset comes after the first");
      return false;
    }
    if (o.origin() == v1::ONSET_ORIGIN_REPLAY && o.from_s() < 0) {
      add(at + ".from_s", document::with_unit(o.from_s(), "s") +
                              " is before the start of the replay; use a value from 0 s on");
      return false;
    }
    return true;
  }

  bool check_count() {
    const std::int64_t count = count_replays(campaign_);
    if (count <= kMostCampaignReplays) return true;
    add("onsets", std::to_string(count) + " replays (" + std::to_string(campaign_.faults_size()) +
                      " faults in " + std::to_string(campaign_.scenarios_size()) +
                      " scenarios), of which a campaign may have " + std::to_string(kMostCampaignReplays) +
                      "; take fewer onsets, or part the campaign");
    return false;
  }

  void check_distinct() {
    std::set<std::string> seen;
    for (const Onset& onset : onsets_of(campaign_))
      if (!seen.insert(written(onset)).second)
        add("onsets", "two onsets are " + written(onset).substr(1) +
                          " to the millisecond; a campaign tells replays apart by it");
  }

  const Library& library_;
  const v1::Campaign& campaign_;
  const std::string file_;
  document::Faults& faults_;
  std::set<std::string> listed_;
};

}  // namespace

std::int64_t count_replays(const v1::Campaign& campaign) {
  std::int64_t onsets = 0;
  for (const v1::Onsets& o : campaign.onsets()) onsets += o.count();
  return std::int64_t{campaign.faults_size()} * campaign.scenarios_size() * onsets;
}

std::vector<Onset> onsets_of(const v1::Campaign& campaign) {
  std::vector<Onset> out;
  for (const v1::Onsets& o : campaign.onsets())
    for (int i = 0; i < o.count(); ++i) {
      const double step_s = o.count() > 1 ? (o.to_s() - o.from_s()) / (o.count() - 1) : 0;
      // A name tells a time to the millisecond; what is replayed is what the name says.
      const double at_s =
          std::round((o.from_s() + i * step_s) / kMillisecond) * kMillisecond + 0.0;  // -0 becomes 0
      out.push_back({o.origin() == v1::ONSET_ORIGIN_REQUEST, at_s});
    }
  return out;
}

std::vector<CampaignReplay> expand(const v1::Campaign& campaign) {
  const std::vector<Onset> onsets = onsets_of(campaign);
  std::vector<CampaignReplay> out;
  for (int f = 0; f < campaign.faults_size(); ++f)
    for (int s = 0; s < campaign.scenarios_size(); ++s)
      for (const Onset& onset : onsets)
        out.push_back(
            {campaign.name() + "/" + campaign.faults(f).name() + "/" + campaign.scenarios(s) + written(onset),
             static_cast<size_t>(s), static_cast<size_t>(f), onset});
  return out;
}

Loaded<v1::Scenario> with_fault(const Loaded<v1::Scenario>& base, const v1::CampaignFault& fault,
                                const std::string& name, double onset_s) {
  Loaded<v1::Scenario> out = base;
  out.message.set_name(name);
  *out.message.mutable_faults() = fault.faults();
  for (v1::Fault& f : *out.message.mutable_faults()) {
    f.set_start_s(onset_s + f.start_s());
    f.set_end_s(onset_s + f.end_s());
  }
  return out;
}

void check_campaign(const Library& library, const Loaded<v1::Campaign>& campaign, document::Faults& faults) {
  CampaignCheck(library, campaign, faults).run();
}

}  // namespace brakeward::scenario
