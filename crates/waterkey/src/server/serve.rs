//! Opens the studio, binds the address and serves until told to stop.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context, bail};
use axum::Router;
use axum::extract::{ConnectInfo, Request};
use hyper::body::Incoming;
use hyper_util::rt::{TokioExecutor, TokioIo, TokioTimer};
use hyper_util::server::conn::auto;
use hyper_util::server::graceful::{GracefulConnection, GracefulShutdown};
use hyper_util::service::TowerToHyperService;
use studio::Store;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;
use tower::ServiceExt;

use super::guard::{self, Names, Rates, Sessions};
use super::routes;
use super::state::App;

/// A client that does not send its request's head within this time is let go.
const HEAD_WITHIN: Duration = Duration::from_secs(10);
/// Live streams heard as they come, for each core: the ear keeps well below a third of one
/// (our choice; the further streams are recorded and heard when they end).
const LISTENERS_A_CORE: usize = 3;
/// Connections at once.
const CONNECTIONS: usize = 1024;
/// How long requests that are under way may take when the server stops.
const LAST_ORDERS: Duration = Duration::from_secs(5);
const SWEEP_EACH: Duration = Duration::from_secs(60);

/// How to serve.
pub(crate) struct Config {
    /// The data folder.
    pub(crate) data: PathBuf,
    /// The port; 0 takes a free one.
    pub(crate) port: u16,
    /// Open to the network instead of loopback alone; needs a passphrase.
    pub(crate) network: bool,
    /// A new passphrase, to be kept (as a hash); `None` keeps the one that was set.
    pub(crate) passphrase: Option<String>,
    /// Names under which the network reaches this machine, such as `studio.local`.
    pub(crate) hosts: Vec<String>,
}

/// What there is to tell once the server answers.
pub(crate) struct Ready {
    /// The address to open, such as `http://127.0.0.1:7373/`.
    pub(crate) address: String,
    /// What the person should know: takes found again, how to get HTTPS.
    pub(crate) notes: Vec<String>,
}

/// Serves until Ctrl-C or a termination signal; `ready` is called once, when the port is open.
///
/// # Errors
/// When the studio is kept by another program or damaged, the port is taken, or the network was
/// asked for without a passphrase.
pub(crate) fn serve(config: Config, ready: impl FnOnce(Ready)) -> anyhow::Result<()> {
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .context("the runtime of the server does not start")?
        .block_on(run(config, ready))
}

async fn run(config: Config, ready: impl FnOnce(Ready)) -> anyhow::Result<()> {
    let store = Store::open_as_keeper(&config.data).await?;
    let mut notes = Vec::new();
    for found in store.recover().await? {
        notes.push(match (&found.take, &found.set_aside) {
            (Some(take), _) => format!(
                "a recording that had not been finished was found again: {:.0} s, take {}",
                take.seconds, take.id
            ),
            (None, Some(path)) => {
                format!(
                    "a recording could not be read; it is kept as {}",
                    path.display()
                )
            }
            (None, None) => continue,
        });
    }
    let sessions = sessions(&store, &config).await?;
    if config.network {
        notes.push(HTTPS.into());
    }
    let listener = bind(&config).await?;
    let address = listener.local_addr().context("the port has no address")?;
    let cores = std::thread::available_parallelism().map_or(2, usize::from);
    let app = App {
        store: store.clone(),
        sessions: Arc::new(sessions),
        rates: Arc::new(Rates::new()),
        heavy: Arc::new(Semaphore::new(cores)),
        listeners: Arc::new(Semaphore::new(cores * LISTENERS_A_CORE)),
        network: config.network,
    };
    let names = Names::new(config.network, &config.hosts);
    let service = routes::router(app.clone(), names);
    sweep(app);
    let shown = match address.ip() {
        IpAddr::V4(ip) if ip.is_unspecified() => Ipv4Addr::LOCALHOST.to_string(),
        IpAddr::V6(ip) if ip.is_unspecified() => format!("[{}]", Ipv6Addr::LOCALHOST),
        ip => ip.to_string(),
    };
    ready(Ready {
        address: format!("http://{shown}:{}/", address.port()),
        notes,
    });
    accept(listener, service).await;
    store.close().await;
    Ok(())
}

const HTTPS: &str = "Other devices can reach this server now. Browsers give the microphone only to \
    HTTPS pages (a secure context), so for recording from a tablet or phone put a reverse proxy \
    with a certificate before it (for example Caddy with `reverse_proxy 127.0.0.1:PORT` and its \
    own local certificate authority), or tunnel the port with ssh -L and open localhost.";

async fn sessions(store: &Store, config: &Config) -> anyhow::Result<Sessions> {
    if let Some(passphrase) = &config.passphrase {
        let hash = guard::hash(passphrase).map_err(anyhow::Error::msg)?;
        store.set_passphrase_hash(&hash).await?;
    }
    let hash = store.passphrase_hash().await?.filter(|_| config.network);
    if config.network && hash.is_none() {
        bail!("opening the server to the network needs a passphrase; set one first");
    }
    Ok(Sessions::new(store.folder().secret_key()?, hash))
}

async fn bind(config: &Config) -> anyhow::Result<TcpListener> {
    let ip = if config.network {
        IpAddr::V4(Ipv4Addr::UNSPECIFIED)
    } else {
        IpAddr::V4(Ipv4Addr::LOCALHOST)
    };
    let address = SocketAddr::new(ip, config.port);
    TcpListener::bind(address).await.with_context(|| {
        format!(
            "port {} is taken or not allowed; choose another with --port",
            config.port
        )
    })
}

/// Now and then: buckets that are full again, journals that nobody came back for.
fn sweep(app: App) {
    tokio::spawn(async move {
        let mut ticks = tokio::time::interval(SWEEP_EACH);
        loop {
            ticks.tick().await;
            app.rates.sweep();
            if let Err(error) = app.store.recover().await {
                super::note_fault(&error);
            }
        }
    });
}

async fn accept(listener: TcpListener, service: Router) {
    let graceful = GracefulShutdown::new();
    let room = Arc::new(Semaphore::new(CONNECTIONS));
    let mut stop = std::pin::pin!(stop_signal());
    loop {
        let (stream, from) = tokio::select! {
            accepted = listener.accept() => match accepted {
                Ok(accepted) => accepted,
                Err(error) => {
                    // Out of file handles, or the client is gone already: the next may do.
                    super::note_fault(&error);
                    tokio::time::sleep(Duration::from_millis(50)).await;
                    continue;
                }
            },
            () = &mut stop => break,
        };
        let Ok(place) = Arc::clone(&room).try_acquire_owned() else {
            continue; // Closing at once tells the client to come back later.
        };
        let watched = graceful.watch(connection(stream, from, service.clone()));
        tokio::spawn(async move {
            let _place = place;
            // Broken clients are none of ours.
            watched.await.ok();
        });
    }
    tokio::select! {
        () = graceful.shutdown() => {}
        () = tokio::time::sleep(LAST_ORDERS) => {}
    }
}

fn connection(
    stream: TcpStream,
    from: SocketAddr,
    service: Router,
) -> impl GracefulConnection<Error = Box<dyn std::error::Error + Send + Sync>> {
    // Small frames of live sound must not wait for each other.
    stream.set_nodelay(true).ok();
    let service = service.map_request(move |mut request: Request<Incoming>| {
        request.extensions_mut().insert(ConnectInfo(from));
        request.map(axum::body::Body::new)
    });
    let mut builder = auto::Builder::new(TokioExecutor::new()).http1_only();
    builder
        .http1()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_WITHIN)
        .max_headers(100);
    builder
        .serve_connection_with_upgrades(TokioIo::new(stream), TowerToHyperService::new(service))
        .into_owned()
}

async fn stop_signal() {
    let interrupt = async {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut terminate) = signal(SignalKind::terminate()) {
            tokio::select! {
                () = interrupt => {}
                _ = terminate.recv() => {}
            }
            return;
        }
    }
    interrupt.await;
}
