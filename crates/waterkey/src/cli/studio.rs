//! `studio`: the data folder: what is in it, copies of it, and whether it is whole.

use std::future::Future;
use std::path::PathBuf;

use clap::Subcommand;
use directories::ProjectDirs;
use serde::Serialize;
use studio::{Store, TakeFilter};

use super::{Failure, Output, progress};

const EXAMPLES: &str = "\
Examples:
  waterkey studio takes --json
  waterkey studio export everything.zip
  waterkey studio doctor --repair";

/// What to do with the data folder.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    #[command(flatten)]
    folder: FolderArgs,
    #[command(subcommand)]
    what: What,
}

/// Where the studio keeps everything.
#[derive(clap::Args)]
pub(crate) struct FolderArgs {
    /// The data folder; a folder of your own account without.
    #[arg(long, env = "WATERKEY_DATA", value_name = "FOLDER", global = true)]
    data: Option<PathBuf>,
}

#[derive(Subcommand)]
enum What {
    /// List the players.
    Players,
    /// List the takes, the latest first.
    Takes {
        /// Of one player, by id.
        #[arg(long)]
        player: Option<String>,
        /// How many at most.
        #[arg(long, default_value_t = 50)]
        limit: u32,
    },
    /// Copy the database inside the data folder.
    Backup,
    /// List the copies.
    Backups,
    /// Put a copy back; what is there now is kept beside it.
    Restore {
        /// Name of the copy.
        name: String,
    },
    /// Write everything into one archive (zip of JSON, FLAC and TOML).
    Export {
        /// The archive to write.
        file: PathBuf,
    },
    /// Read an archive into the studio; what is there stays.
    Import {
        /// The archive to read.
        file: PathBuf,
    },
    /// Verify everything; mend what can be mended.
    Doctor {
        /// Mend, not only tell.
        #[arg(long)]
        repair: bool,
    },
}

impl FolderArgs {
    /// The folder: as given, else the usual place for a program's data on this system.
    pub(crate) fn path(&self) -> Result<PathBuf, Failure> {
        self.data
            .clone()
            .or_else(|| Some(ProjectDirs::from("", "", "waterkey")?.data_dir().to_owned()))
            .ok_or_else(|| Failure::Input("there is no home folder; name one with --data".into()))
    }
}

/// Does what was asked.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let folder = args.folder.path()?;
    let busy = progress::busy("reading the studio");
    let work = async {
        if let What::Restore { name } = &args.what {
            Store::restore_backup(&folder, name).await?;
            return tell(
                output,
                &Done {
                    done: format!("{name} is in place"),
                },
                |d| d.done.clone(),
            );
        }
        // Only the keeper may mend; everything else runs beside a server.
        let store = match args.what {
            What::Doctor { repair: true } => Store::open_as_keeper(&folder).await?,
            _ => Store::open(&folder).await?,
        };
        match &args.what {
            What::Players => tell(output, &store.players(false).await?, |players| {
                lines(players, |p| {
                    format!("{}  {:24} {}", p.id, p.about.name, p.about.instrument)
                })
            }),
            What::Takes { player, limit } => {
                let filter = TakeFilter {
                    player: player.clone(),
                    limit: Some(*limit),
                    ..TakeFilter::default()
                };
                tell(output, &store.takes(&filter).await?, |page| {
                    lines(&page.takes, |t| {
                        format!("{}  {:>6.1} s  {}", t.id, t.seconds, t.title)
                    })
                })
            }
            What::Backup => tell(output, &store.back_up().await?, |b| b.name.clone()),
            What::Backups => tell(output, &store.backups()?, |backups| {
                lines(backups, |b| format!("{}  {} bytes", b.name, b.bytes))
            }),
            What::Export { file } => tell(output, &store.export_archive(file).await?, counts),
            What::Import { file } => tell(output, &store.import_archive(file).await?, counts),
            What::Doctor { repair } => tell(output, &store.examine(*repair).await?, |verdict| {
                let mut text = format!(
                    "{} takes, {} bytes of sound read\n",
                    verdict.takes, verdict.bytes
                );
                for problem in &verdict.problems {
                    let mended = if problem.mended {
                        "mended"
                    } else {
                        "not mended"
                    };
                    text += &format!("{}: {} ({mended})\n", problem.place, problem.what);
                }
                if verdict.problems.is_empty() {
                    text += "all is as it should be";
                }
                text
            }),
            What::Restore { .. } => Ok(()),
        }
    };
    let done = block_on(work);
    busy.finish_and_clear();
    done
}

#[derive(Serialize)]
struct Done {
    done: String,
}

fn tell<T: Serialize>(
    output: &Output,
    value: &T,
    text: impl FnOnce(&T) -> String,
) -> Result<(), Failure> {
    output.show(value, text)
}

fn lines<T>(items: &[T], line: impl Fn(&T) -> String) -> String {
    if items.is_empty() {
        return "none yet".into();
    }
    items.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn counts(counts: &studio::ArchiveCounts) -> String {
    format!(
        "{} players, {} lessons, {} takes, {} notes, {} texts, {} bytes of sound",
        counts.players,
        counts.lessons,
        counts.takes,
        counts.notes,
        counts.texts,
        counts.sound_bytes
    )
}

/// Runs the store's work to its end.
fn block_on<T>(work: impl Future<Output = Result<T, Failure>>) -> Result<T, Failure> {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?
        .block_on(work)
}
